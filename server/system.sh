#!/bin/sh
# Installs the Debian packages that are missing and says which. Usage: system.sh SUDO use|dev|venv
# Each package stands with its proof: a command, a file of it, or "-" where the caller looked.
set -eu
fonts=/usr/share/fonts
libraries="/usr/lib/$(uname -m)-linux-gnu"
sudo="$1"
case "$2" in
  use) wanted="tesseract-ocr:tesseract tesseract-ocr-eng:/usr/share/tesseract-ocr/5/tessdata/eng.traineddata
               tesseract-ocr-kor:/usr/share/tesseract-ocr/5/tessdata/kor.traineddata
               fonts-dejavu-core:$fonts/truetype/dejavu/DejaVuSans.ttf
               fonts-lohit-deva:$fonts/truetype/lohit-devanagari/Lohit-Devanagari.ttf" ;;
  # What drives the browser needs libatomic; strace shows whom the program speaks to; the typefaces
  # are what the drawn print is set in.
  dev) wanted="chromium:chromium libatomic1:$libraries/libatomic.so.1 strace:strace libnss3-tools:certutil iproute2:ip openssl:openssl
               fonts-allerta:$fonts/opentype/allerta/allerta_stencil.otf
               fonts-bebas-neue:$fonts/opentype/bebas-neue/BebasNeue-Regular.otf
               fonts-comfortaa:$fonts/truetype/comfortaa/Comfortaa-Regular.ttf
               fonts-courier-prime:$fonts/opentype/courier-prime
               fonts-dejavu-extra:$fonts/truetype/dejavu/DejaVuSansCondensed.ttf
               fonts-jura:$fonts/opentype/jura/Jura-Medium.otf
               fonts-lato:$fonts/truetype/lato/Lato-Regular.ttf
               fonts-liberation:$fonts/truetype/liberation/LiberationSansNarrow-Bold.ttf
               fonts-lobster:$fonts/opentype/lobster/lobster.otf
               fonts-nanum:$fonts/truetype/nanum/NanumGothic.ttf
               fonts-ocr-b:$fonts/opentype/ocr-b/OCRB.otf
               fonts-open-sans:$fonts/truetype/open-sans/OpenSans-CondBold.ttf
               fonts-opendin:$fonts/truetype/opendin/OSP-DIN.ttf
               fonts-play:$fonts/truetype/play/Play-Regular.ttf
               fonts-roboto-slab:$fonts/opentype/roboto/slab/RobotoSlab-Regular.otf
               fonts-roboto-unhinted:$fonts/truetype/roboto/unhinted/RobotoCondensed-Regular.ttf
               fonts-yanone-kaffeesatz:$fonts/opentype/yanone-kaffeesatz/YanoneKaffeesatz-Regular.otf" ;;
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
