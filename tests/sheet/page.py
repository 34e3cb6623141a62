#!/usr/bin/env python3
"""A handout is one whole page that needs no other, whatever stands in its key.

    page.py PROGRAM HOSTILE-KEY

Elements are balanced and from a short list; there is no script, no link but to a place on the page, nothing that is
fetched; every picture and table has its name; ids are there once, and what is linked to is there. The four ways out
say the same words.
"""
import json
import re
import subprocess
import sys
from html.parser import HTMLParser

VOID = {"meta"}
USED = {"html", "head", "meta", "title", "style", "body", "main", "section", "h1", "h2", "h3", "p", "ul", "li", "div",
        "span", "a", "i", "strong", "figure", "figcaption", "table", "caption", "thead", "tbody", "tr", "th", "td", "svg",
        "g", "path", "line", "polyline", "polygon", "rect", "circle", "ellipse", "text", "tspan"}
failures = 0


def fail(what, why):
    global failures
    failures += 1
    print("FAILED sheet/page: %s: %s" % (what, why))


class Page(HTMLParser):
    def __init__(self, what):
        super().__init__()
        self.what, self.open, self.ids, self.links, self.text, self.levels = what, [], [], [], [], []
        self.named = None  # by which title the picture that begins wants to be named

    def handle_starttag(self, tag, attrs):
        names = [name for name, _ in attrs]
        given = dict(attrs)
        if tag not in USED:
            fail(self.what, "an element <%s>" % tag)
        if len(set(names)) != len(names):
            fail(self.what, "an attribute twice in <%s>" % tag)
        for name, value in attrs:
            if name.startswith("on") or name in ("src", "style", "srcset", "xlink:href", "action"):
                fail(self.what, "an attribute %s=%s" % (name, value))
        if "href" in given:
            self.links.append(given["href"])
        if "id" in given:
            self.ids.append(given["id"])
        # SVG 2, 5.8: a picture is named by the title that is its first child; WAI-ARIA 1.2: the role img wants a name.
        if tag == "svg":
            self.named = given.get("aria-labelledby")
            if given.get("role") != "img" or not self.named:
                fail(self.what, "a picture without a role or a name")
        elif self.open and self.open[-1] == "svg" and self.named:
            if tag != "title" or given.get("id") != self.named:
                fail(self.what, "a picture whose title does not stand first")
            self.named = None
        if tag == "th" and given.get("scope") not in ("col", "row"):
            fail(self.what, "a head of a table without its scope")
        if re.fullmatch("h[1-6]", tag):
            self.levels.append(int(tag[1]))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            fail(self.what, "</%s> closes something else" % tag)

    def handle_data(self, data):
        if not {"style", "title"} & set(self.open):
            self.text.append(data)

    def handle_comment(self, data):
        fail(self.what, "a comment")

    def judge(self):
        if self.open:
            fail(self.what, "left open: %s" % self.open)
        if len(set(self.ids)) != len(self.ids):
            fail(self.what, "an id twice")
        for link in self.links:
            if not link.startswith("#") or link[1:] not in self.ids:
                fail(self.what, "a link to %s" % link)
        for before, level in zip([0] + self.levels, self.levels):
            if level > before + 1:
                fail(self.what, "a heading of level %d behind one of %d" % (level, before))


def run(*words):
    done = subprocess.run([sys.argv[1], "sheet", *words], capture_output=True, check=False)
    if done.returncode:
        fail(" ".join(words), "status %d: %s" % (done.returncode, done.stderr.decode()))
    return done.stdout.decode()


def plain(text):
    """Letters and digits alone, so that markup and line breaks make no difference."""
    return re.sub(r"[^0-9A-Za-z]+", "", text)


def judge(what, *words):
    html = run(*words)
    page = Page(what)
    page.feed(html)
    page.close()
    page.judge()
    if "default-src 'none'" not in html:
        fail(what, "no content security policy")
    if re.search(r"[\u202a-\u202e\u2066-\u2069\x00-\x08\x0b-\x1f]", html):
        fail(what, "a control or reversing character")
    for caution in ("water's edge", "protected by law", "Net, hold or pick", "Local law"):
        if caution not in " ".join(page.text):
            fail(what, "the caution does not say '%s'" % caution)
    judge_bars(what, html)
    spoken = plain("".join(page.text))
    for paragraph in re.findall(r"<p(?: [^>]*)?>(.*?)</p>", html, re.S):
        words_of = Page(what)
        words_of.feed(paragraph)
        said = plain("".join(words_of.text))
        for out in ("markdown", "text", "json"):
            if said not in run_once(out, *words):
                fail(what, "%s does not say '%s'" % (out, said[:60]))
    return spoken


def judge_bars(what, html):
    """One unit of a bar's picture is one mm; black up to the least length that its name says, as long as the greatest."""
    bars = re.findall(r'<svg role="img" width="([\d.]+)mm" height="([\d.]+)mm" viewBox="0 0 ([\d.]+) ([\d.]+)"[^>]*>'
                      r"<title[^>]*>[^<]*to true scale: ([\d.]+)(?: to ([\d.]+))? mm</title>"
                      r'<path fill="currentColor" d="M0 0H([\d.]+)V', html)
    for width, height, units, high_units, least, greatest, black in bars:
        if float(width) != float(greatest or least) or black != least or (width, height) != (units, high_units):
            fail(what, "a bar of %s to %s mm is %s mm long, black up to %s" % (least, greatest, width, black))
    if len(bars) != html.count("to true scale"):
        fail(what, "%d bars of %d are drawn otherwise" % (html.count("to true scale") - len(bars), len(bars)))
    return sorted(float(bar[0]) for bar in bars)


def judge_languages():
    """WCAG 2.2, 3.1.1 and 3.1.2: the page's language, and that of what is in another (HTML Living Standard, `lang`)."""
    html = run("--key", sys.argv[2], "--language", "nl")
    for wanted in ('<html lang="nl">', '<h1>&lt;svg onload=alert(12)&gt;</h1>', '<p class="caution" lang="en">',
                   '<i lang="la">Tidella', '<h2 id="accounts" lang="en">One by one</h2>',
                   '<span lang="nl">vorm&lt;script&gt;', 'what the sheet itself says is English'):
        if wanted not in html:
            fail("languages", "no %s" % wanted)


cache = {}


def texts_of(value):
    """Every text of a document in JSON, in its order."""
    if isinstance(value, list):
        for one in value:
            yield from texts_of(one)
    elif isinstance(value, dict):
        if "text" in value:
            yield value["text"]
        for one in value.values():
            yield from texts_of(one) if isinstance(one, (list, dict)) else ()


def run_once(out, *words):
    if (out, words) not in cache:
        text = run("--out", out, *words)
        if out == "json":
            text = "".join(texts_of(json.loads(text)))
        cache[out, words] = plain(re.sub(r"\]\(#[^)]*\)", "]", text))  # not where a link leads
    return cache[out, words]


def main():
    hostile = judge("hostile", "--key", sys.argv[2], "--title", "<script>alert(1)</script>", "--place", "</p><img src=x>")
    judge("hostile, other language", "--key", sys.argv[2], "--language", "nl", "--large-print")
    for shown in ("<script>alert(1)</script>", "<h1>invented</h1> shell", "<script>alert(21)</script>"):
        if plain(shown) not in hostile:
            fail("hostile", "'%s' does not show as text" % shown)
    judge_languages()
    bars = judge_bars("hostile", run("--key", sys.argv[2]))
    if bars != [20.0, 120.0]:
        fail("hostile", "lengths up to 20 and 120 mm are drawn as %s" % bars)
    judge("pond", "--where", "habitat: garden pond; month: July")
    judge("one taxon", "--within", "Pyrrhosoma nymphula")
    judge("skins", "--key", "odonata-exuviae", "--no-couplets", "--pairs", "0")
    print("sheet/page: 5 pages, %d failures" % failures)
    sys.exit(failures > 0)


main()
