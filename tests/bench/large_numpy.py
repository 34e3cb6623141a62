"""The model of DESIGN over make_key.py's key, in numpy and from the formulas alone: what ranking and look next on a
large key are measured against, and checked with.

Debian: python3-numpy python3-scipy python3-sklearn
"""
import json
import re

import numpy as np
from scipy.special import ndtr
from sklearn.naive_bayes import CategoricalNB

ERROR = 1.5 * 0.05  # caution factor x misread
UNLISTED = 0.02
BINS = 16
LEAST = 1e-12  # taxa of less probability are left out of look next


def surprise(masses):
    """The sum of x ln x; faster than scipy's xlogy."""
    masses = masses.ravel()
    return np.vdot(masses, np.log(np.maximum(masses, 1e-300)))


class Model:
    def __init__(self, folder):
        with open(f"{folder}/key.json", encoding="utf-8") as file:
            made = json.load(file)
        self.states, self.traits, self.each = made["states"], made["traits"], made["forms_each"]
        self.taxa = made["taxa"]
        self.forms = self.taxa * self.each
        self.of_form = np.fromfile(f"{folder}/traits.u16", np.uint16).reshape(self.forms, -1).T.astype(np.intp) - 1
        taxon = np.arange(self.forms) // self.each
        self.genus, self.family = taxon // made["taxa_of_genus"], taxon // made["taxa_of_family"]
        self.genera, self.families = self.genus[-1] + 1, self.family[-1] + 1
        unlisted = [0.4 / self.genera] * self.genera + [0.4 / self.families] * self.families + [0.2]
        self.prior = np.concatenate([np.full(self.forms, (1 - UNLISTED) / self.forms), UNLISTED * np.array(unlisted)])
        self.profiles, self.mixers = zip(*(self.mix(c) for c in range(len(self.states))))

    def mix(self, c):
        """Of each form its profile; and what the profiles are of the traits, as one matrix. All priors are alike."""
        own, count = self.of_form[c], len(self.traits[c])
        scored = own >= 0
        whole = np.bincount(own[scored], minlength=count) / scored.sum()
        profile, rows, at = own.copy(), [np.eye(count)], count
        left = ~scored
        for group, groups in ((self.genus, self.genera), (self.family, self.families)):
            sums = np.bincount(group[scored] * count + own[scored], minlength=groups * count).reshape(groups, count)
            total = sums.sum(axis=1)
            here = left & (total[group] > 0)
            used, place = np.unique(group[here], return_inverse=True)
            profile[here] = at + place
            rows.append(0.8 * sums[used] / total[used, None] + 0.2 * whole)
            at += len(used)
            left &= ~here
        profile[left] = at
        rows.append(whole[None])
        return profile, np.vstack(rows)

    def number_law(self, c):
        """Means and standard deviations of a number's traits, and the span over the key."""
        ranges = np.array([[float(end) for end in text.split("-")] for text in self.traits[c]])
        mean = ranges.mean(axis=1)
        sd = np.maximum((ranges[:, 1] - ranges[:, 0]) / 4, 0.035 * mean)
        return mean, np.hypot(sd, 0.1 * mean), ranges.min(), ranges.max()

    def reports(self, c):
        """P(report | profile): a row a profile."""
        count = self.states[c]
        if count:
            shown = np.array([[f"s{s}" in re.findall(r"s\d+", text) for s in range(count)] for text in self.traits[c]], float)
            shown /= shown.sum(axis=1, keepdims=True)
            law = shown @ (np.eye(count) * (1 - ERROR) + (1 - np.eye(count)) * ERROR / (count - 1))
        else:
            mean, sd, low, high = self.number_law(c)
            edges = np.linspace(low, high, BINS + 1)
            edges[0], edges[-1] = -np.inf, np.inf
            law = (1 - ERROR) * np.diff(ndtr((edges - mean[:, None]) / sd[:, None]), axis=1) + ERROR / BINS
        return self.mixers[c] @ law

    def likelihoods(self, c, answers):
        """A row an answer ("s3", "34 mm"), of every form, of the genera's and families' relatives, and of the stranger."""
        count = self.states[c]
        if count:
            even = np.full(len(answers), 1 / count)
            of_profiles = self.reports(c)[:, [int(answer[1:]) for answer in answers]]
        else:
            mean, sd, low, high = self.number_law(c)
            at = np.array([float(answer.split()[0]) for answer in answers])
            inside = np.clip(at + 0.5, low, high) - np.clip(at - 0.5, low, high)
            even = np.maximum(inside / (high - low), 1e-6)
            z = lambda end: ndtr((end - mean[:, None]) / sd[:, None])
            of_profiles = self.mixers[c] @ ((1 - ERROR) * (z(at + 0.5) - z(at - 0.5)) + ERROR * even)
        forms = of_profiles.T[:, self.profiles[c]]
        mean = lambda group: np.array([np.bincount(group, row) for row in forms]) / np.bincount(group)
        relatives = [0.7 * mean(group) + 0.3 * even[:, None] for group in (self.genus, self.family)]
        return np.hstack([forms, *relatives, (forms.mean(axis=1) / 2 + even / 2)[:, None]])


class Ranking:
    """Sightings over the rows of their answers' log-likelihoods, which are made beforehand."""

    def __init__(self, model, lines):
        self.model = model
        parsed = [[entry.split(": ") for entry in line.split("; ")] for line in lines]
        answers = sorted({(int(c[1:]), answer) for line in parsed for c, answer in line})
        self.row = {answer: at for at, answer in enumerate(answers)}
        self.sightings = [[self.row[int(c[1:]), answer] for c, answer in line] for line in parsed]
        self.character = np.array([c for c, _ in answers])
        exact = np.empty((len(answers), len(model.prior)))
        for c in np.unique(self.character):
            here = np.flatnonzero(self.character == c)
            exact[here] = np.log(model.likelihoods(c, [answers[at][1] for at in here]))
        self.exact, self.rows = exact, exact.astype(np.float32)
        self.log_prior = np.log(model.prior)
        self.short_prior = self.log_prior.astype(np.float32)
        self.out = np.empty_like(self.short_prior)

    def finish(self, out):
        """Of the forms the probabilities, and the best taxon."""
        out -= out.max()
        np.exp(out, out=out)
        out *= 1 / out.sum()
        taxa = np.add.reduceat(out[:self.model.forms], np.arange(0, self.model.forms, self.model.each))
        best = taxa.argmax()
        return best, taxa[best]

    def gather(self, sighting):
        out = self.rows[sighting].sum(axis=0)
        out += self.short_prior
        return self.finish(out)

    def add(self, sighting):
        out = self.out
        np.add(self.short_prior, self.rows[sighting[0]], out=out)
        for at in sighting[1:]:
            np.add(out, self.rows[at], out=out)
        return self.finish(out)

    def posterior(self, sighting):
        out = self.log_prior + self.exact[sighting].sum(axis=0)
        out = np.exp(out - out.max())
        return out / out.sum()

    def learned(self):
        """scikit-learn's classifier with our figures in place of what it would learn."""
        bayes = CategoricalNB()
        bayes.classes_ = np.arange(len(self.model.prior))
        bayes.class_count_ = np.ones(len(self.model.prior))
        bayes.class_log_prior_ = self.log_prior
        first = np.searchsorted(self.character, self.character)
        blocks = {c: self.exact[self.character == c].T for c in np.unique(self.character)}

        def predict(sighting):
            """The answered columns alone; the columns of one state are contiguous, as it likes them best."""
            bayes.feature_log_prob_ = [blocks[self.character[at]] for at in sighting]
            bayes.n_features_in_ = len(sighting)
            return bayes.predict_log_proba(np.array([[at - first[at] for at in sighting]]))[0]
        return predict


class Looking:
    """I(T;R) = H(R) - sum of P(t) H(R|t) of every character, in bits, from the probabilities of the forms."""

    def __init__(self, model):
        self.model = model
        characters = range(len(model.states))
        self.reports = [model.reports(c) for c in characters]
        self.profiles = model.profiles
        # P(report | form) in full: by form of its taxon, report and taxon.
        self.of_forms = [np.ascontiguousarray(law[of].reshape(model.taxa, model.each, -1).transpose(1, 2, 0))
                         for law, of in zip(self.reports, self.profiles)]
        self.entropy = [-(law * np.log(law)).sum(axis=1) for law in self.reports]
        # Where the forms of a taxon differ it needs a sum of its own; the others have their profile's entropy.
        by_taxon = [of.reshape(model.taxa, model.each) for of in self.profiles]
        self.differ = [np.flatnonzero((of != of[:, :1]).any(axis=1)) for of in by_taxon]
        self.own = [of[taxa] for of, taxa in zip(by_taxon, self.differ)]
        self.alike = np.array([np.where(np.repeat((of == of[:, :1]).all(axis=1), model.each), entropy[of.ravel()], 0)
                               for of, entropy in zip(by_taxon, self.entropy)])

    def formula(self, forms):
        """As it is written: the reports of each form, summed by taxon. Only taxa that count."""
        forms = np.ascontiguousarray((forms / forms.sum()).reshape(self.model.taxa, self.model.each).T)
        taxa = np.flatnonzero(forms.sum(axis=0) > LEAST)
        few = 2 * len(taxa) < self.model.taxa
        forms = forms[:, taxa] if few else forms
        rest, gains = surprise(forms.sum(axis=0)), np.empty(len(self.reports))
        joint, part = np.empty((2, BINS, forms.shape[1]))
        for c, law in enumerate(self.of_forms):
            count = law.shape[1]
            of, more = joint[:count], part[:count]
            np.multiply(law[0][:, taxa] if few else law[0], forms[0], out=of)
            for i in range(1, self.model.each):
                of += np.multiply(law[i][:, taxa] if few else law[i], forms[i], out=more)
            whole = of.sum(axis=1)
            gains[c] = np.vdot(of, np.log(np.maximum(of, 1e-300, out=more), out=more)) - rest - surprise(whole)
        return gains / np.log(2)

    def by_profile(self, forms):
        """As rushlight does it: masses by profile, and a sum of its own only where the forms of a taxon differ."""
        forms = forms / forms.sum()
        own = forms.reshape(self.model.taxa, self.model.each)
        within = self.alike @ forms
        gains = np.empty(len(self.reports))
        for c, (law, profile) in enumerate(zip(self.reports, self.profiles)):
            whole = np.bincount(profile, forms, len(law)) @ law
            mine = own[self.differ[c]]
            joint = law[self.own[c][:, 0]] * mine[:, :1]
            for i in range(1, self.model.each):
                joint += law[self.own[c][:, i]] * mine[:, i:i + 1]
            mass = mine.sum(axis=1)
            gains[c] = (surprise(joint) - surprise(mass)) - within[c] - surprise(whole)
        return gains / np.log(2)
