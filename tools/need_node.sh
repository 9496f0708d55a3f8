#!/bin/sh
# Node and npm are wanted for the tests only. As root on a machine with apt they are put in; else one line says how.
command -v node >/dev/null && command -v npm >/dev/null && exit 0
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  echo "node or npm is missing: apt-get install nodejs npm" >&2
  apt-get install -y -qq --no-install-recommends nodejs npm >/dev/null 2>&1 && exit 0
  apt-get update -qq && apt-get install -y -qq --no-install-recommends nodejs npm >/dev/null && exit 0
fi
echo "node or npm is missing: apt-get install nodejs npm" >&2
exit 1
