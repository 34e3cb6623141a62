#include "key/key.h"

#include <nettle/sha2.h>

/* FIPS 180-4. A record names the key's text by this, so that a verifier can tell whether the key that
 * they hold is the one that was used. */
void rush_key_take_digest(rush_key *key)
{
    static const char digits[] = "0123456789abcdef";
    uint8_t digest[SHA256_DIGEST_SIZE];
    struct sha256_ctx context;
    sha256_init(&context);
    for (const rush_key_file *file = key->files; file; file = file->next)
        sha256_update(&context, file->text.length, (const uint8_t *)file->text.bytes);
    sha256_digest(&context, sizeof digest, digest);
    for (size_t i = 0; i < sizeof digest; i++) {
        key->digest[2 * i] = digits[digest[i] >> 4];
        key->digest[2 * i + 1] = digits[digest[i] & 15];
    }
    key->digest[2 * sizeof digest] = '\0';
}

const char *rush_key_digest(const rush_key *key)
{
    return key->digest;
}
