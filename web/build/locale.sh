#!/bin/sh
# Bring the catalogues up to date with the sentences of the screens: what is new comes in untranslated (msgstr ""), and what is
# gone goes. By GNU gettext; in the order of the files, so that a screen's sentences stand together.
set -eu
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -r "$work"' EXIT
find src -name '*.ts' | LC_ALL=C sort >"$work/files"
xgettext --from-code=UTF-8 --language=JavaScript --keyword --keyword=t --keyword=tn:1,2 --add-location=file --no-wrap \
  --files-from="$work/files" --output="$work/all.pot"
for catalogue in locale/*.po; do
  msgmerge --quiet --no-fuzzy-matching --add-location=file --no-wrap "$catalogue" "$work/all.pot" |
    msgattrib --no-obsolete --no-wrap | grep -v '^"POT-Creation-Date:' >"$work/new.po"
  cp "$work/new.po" "$catalogue"
  echo "$catalogue: $(msgattrib --untranslated --no-wrap "$catalogue" | grep -c '^msgid "[^"]' || true) not translated yet"
done
