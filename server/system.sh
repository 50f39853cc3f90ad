#!/bin/sh
# Installs the Debian packages that are missing and says which. Usage: system.sh SUDO use|dev|venv
set -eu
sudo="$1"
case "$2" in
  use) wanted="tesseract-ocr:tesseract tesseract-ocr-eng:/usr/share/tesseract-ocr/5/tessdata/eng.traineddata
               tesseract-ocr-kor:/usr/share/tesseract-ocr/5/tessdata/kor.traineddata
               fonts-dejavu-core:/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf" ;;
  dev) wanted="chromium:chromium fonts-nanum:/usr/share/fonts/truetype/nanum/NanumGothic.ttf" ;;
  venv) wanted="python3-venv:-" ;;
  *) echo "system.sh: unknown set '$2'" >&2; exit 2 ;;
esac
missing=""
for pair in $wanted; do
  package="${pair%%:*}" proof="${pair#*:}"
  case "$proof" in
    -) missing="$missing $package" ;;
    /*) [ -e "$proof" ] || missing="$missing $package" ;;
    *) command -v "$proof" >/dev/null 2>&1 || missing="$missing $package" ;;
  esac
done
[ -z "$missing" ] && exit 0
if ! command -v apt-get >/dev/null 2>&1; then
  echo "Missing:$missing. Install them with your system's package manager, then try again." >&2
  exit 2
fi
echo "Installing Debian packages:$missing"
$sudo apt-get update -qq
DEBIAN_FRONTEND=noninteractive $sudo apt-get install -y -qq --no-install-recommends $missing >/dev/null
