#!/bin/sh
# Chromium is wanted for the tests of the phone's pages only, and with it letters as wide as a phone's: a bare Debian has none, and in
# others the pages stand otherwise. As root on a machine with apt both are put in; else one line says how.
letters() { fc-list 2>/dev/null | grep -q -E 'Liberation ?Sans|Arial'; }
missing=
command -v chromium >/dev/null || missing="chromium"
letters || missing="${missing:+$missing }fonts-liberation"
[ -z "$missing" ] && exit 0
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  echo "putting in $missing, which the tests of the pages want" >&2
  # shellcheck disable=SC2086  # two names, two words
  apt-get install -y -qq --no-install-recommends $missing >/dev/null 2>&1 && exit 0
  # shellcheck disable=SC2086
  apt-get update -qq && apt-get install -y -qq --no-install-recommends $missing >/dev/null && exit 0
fi
echo "$missing is missing: apt-get install $missing" >&2
exit 1
