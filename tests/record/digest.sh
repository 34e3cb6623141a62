#!/bin/sh
# The digest of a key is that of its texts one behind the other: digest.sh PROGRAM FOLDER-OF-A-KEY
files=$(sed -n '/^parts:/,$ s/^  - *//p' "$2/key.yaml")
cd "$2" || exit 1
expected=$(cat key.yaml $files | sha256sum | cut -d ' ' -f 1)
"$1" about --key "$2" | grep -x "sha256: $expected"
