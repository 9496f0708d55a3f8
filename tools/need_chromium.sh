#!/bin/sh
# Chromium is wanted for the tests of the phone's pages only. As root on a machine with apt it is put in; else one line says how.
command -v chromium >/dev/null && exit 0
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  echo "chromium is missing: apt-get install chromium" >&2
  apt-get install -y -qq --no-install-recommends chromium >/dev/null 2>&1 && exit 0
  apt-get update -qq && apt-get install -y -qq --no-install-recommends chromium >/dev/null && exit 0
fi
echo "chromium is missing: apt-get install chromium" >&2
exit 1
