#!/bin/sh
# Makes the root of server/Containerfile with mmdebstrap, starts it in namespaces as the recipe says
# (no writable root, nobody's user, no capability), and asks it how it is. Takes root, mmdebstrap and
# a built page. CARRY names files of this machine that the root needs to reach package registries
# (a proxy's certificate, say). Usage: CARRY="FILE ..." try_image.sh FOLDER [MIRROR]
set -eu
folder="$1" mirror="${2:-}"
here="$(cd "$(dirname "$0")/.." && pwd)"
root="$folder/root"
test -f "$here/web/dist/index.html" || { echo "Build the page first: make setup" >&2; exit 2; }
mkdir -p "$folder/data"
if [ ! -e "$root/opt/inkwitness/venv/bin/python" ]; then
  mmdebstrap --variant=minbase --include=ca-certificates bookworm "$root" $mirror
  mkdir -p "$root/opt/inkwitness/web"
  cp -r "$here/requirements.lock" "$here/server" "$here/rules" "$root/opt/inkwitness/"
  cp -r "$here/web/dist" "$root/opt/inkwitness/web/dist"
  cp /etc/resolv.conf "$root/etc/resolv.conf"
  for known in ${CARRY:-}; do
    mkdir -p "$root$(dirname "$known")"
    cp -r "$known" "$root$known"
  done
  chroot "$root" sh /opt/inkwitness/server/image.sh run /opt/inkwitness
fi
chown 10001:10001 "$folder/data"
cat > "$folder/inside.sh" <<EOF
set -eu
mount --bind "$root" "$root"
mount --bind "$folder/data" "$root/data"
mount -t tmpfs tmpfs "$root/tmp"
mount -t proc proc "$root/proc"
mount --bind /dev "$root/dev"
mount -o remount,bind,ro "$root"
ip link set lo up
as="setpriv --reuid 10001 --regid 10001 --clear-groups --bounding-set -all --no-new-privs"
run="env -i HOME=/tmp PATH=/usr/bin:/bin PYTHONPATH=/opt/inkwitness/server PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1"
python=/opt/inkwitness/venv/bin/python
chroot "$root" \$as \$run \$python -m inkwitness serve --data /data --host 0.0.0.0 \
  --outside https://ink.hospital.example --proxy 127.0.0.2 > "$folder/server.log" 2>&1 &
server=\$!
for _ in \$(seq 120); do
  chroot "$root" \$as \$run \$python /opt/inkwitness/server/alive.py 2>/dev/null && break
  kill -0 \$server || { cat "$folder/server.log" >&2; exit 1; }
  sleep 1
done
chroot "$root" \$as \$run \$python /opt/inkwitness/server/alive.py
echo "alive, as user \$(awk '/^Uid/ {print \$2}' $root/proc/\$server/status), capabilities \$(awk '/^CapBnd/ {print \$2}' $root/proc/\$server/status)"
if chroot "$root" \$as touch /opt/inkwitness/written 2>/dev/null; then echo "the root can be written" >&2; exit 1; fi
cat > "$root/tmp/ask.py" <<'ASK'
import urllib.error, urllib.request
from http.client import HTTPConnection

def ask(path, source="127.0.0.1", **headers):
    connection = HTTPConnection("127.0.0.1", 8000, source_address=(source, 0), timeout=20)
    connection.request("GET", path, headers=headers)
    return connection.getresponse().status

outside = {"Host": "ink.hospital.example", "X-Forwarded-Proto": "https", "X-Forwarded-For": "198.51.100.7"}
for told, wanted in (
    (ask("/api/access", "127.0.0.2", **outside), 200),            # the named proxy
    (ask("/api/access", "127.0.0.1", **outside), 403),            # anybody else who says the same
    (ask("/api/access", "127.0.0.2", Host="rebound.example"), 421),
    (ask("/api/units", "127.0.0.2", **outside), 401),
    (ask("/", "127.0.0.2", **outside), 200),
):
    assert told == wanted, (told, wanted)
print("the named proxy is believed, and nobody else")
ASK
chroot "$root" \$as \$run \$python /tmp/ask.py
kill \$server
wait \$server || true
EOF
unshare --mount --pid --net --uts --ipc --fork --kill-child sh "$folder/inside.sh"
ls -l "$folder/data"
