"""The authority can sign for this machine and for nothing else; checked with a verifier of others.

RFC 5280 (2008) 4.2.1.10 for name constraints; `openssl verify` is the outside judge.
"""

import datetime as dt
import ipaddress
import re
import shutil
import stat
import subprocess
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from inkwitness.errors import BadInput
from inkwitness.network.addresses import is_private, private_addresses
from inkwitness.network.authority import Authority, certify, open_authority
from inkwitness.network.room import Room
from tests.api.conftest import NOW

HOTSPOT = ipaddress.ip_address("192.168.43.1")
OTHER = ipaddress.ip_address("172.20.10.1")
KINDS = ("authority.key", "server.key")


@pytest.fixture
def made(tmp_path: Path) -> Authority:
    authority, new = open_authority(tmp_path / "network", NOW)
    assert new
    assert certify(authority, (HOTSPOT,), NOW)
    return authority


def verify(authority: Authority, leaf: Path, *more: str) -> subprocess.CompletedProcess[str]:
    """As a phone does: the root is trusted, all else is looked at."""
    openssl = shutil.which("openssl")
    assert openssl, "openssl is missing"
    folder = authority.folder
    at = str(int(NOW.timestamp()))
    command = [openssl, "verify", "-attime", at, "-x509_strict", "-purpose", "sslserver"]
    command += ["-CAfile", str(folder / "root.crt"), "-untrusted", str(folder / "authority.crt")]
    return subprocess.run(
        [*command, *more, str(leaf)], capture_output=True, text=True, check=False, timeout=60
    )


def signed_for(authority: Authority, folder: Path, *names: x509.GeneralName) -> Path:
    """A certificate that whoever stole the authority's key makes for other names."""
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "stolen")])
    made = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(authority.issuer.subject)
        .public_key(key.public_key())
        .serial_number(7)
        .not_valid_before(NOW - dt.timedelta(days=1))
        .not_valid_after(NOW + dt.timedelta(days=30))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(
                authority.issuer.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
            ),
            critical=False,
        )
        .sign(authority.key, hashes.SHA256())
    )
    path = folder / "stolen.crt"
    path.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    return path


def leaf_of(authority: Authority) -> x509.Certificate:
    return x509.load_pem_x509_certificate(authority.chain_file.read_bytes())


def test_its_certificate_is_good_for_its_names_and_addresses(made: Authority) -> None:
    assert verify(made, made.chain_file, "-verify_ip", str(HOTSPOT)).returncode == 0
    assert verify(made, made.chain_file, "-verify_hostname", made.name).returncode == 0
    assert verify(made, made.chain_file, "-verify_hostname", "localhost").returncode == 0
    assert verify(made, made.chain_file, "-verify_ip", "192.168.43.2").returncode != 0
    assert re.fullmatch(r"inkwitness-[a-z0-9]{4}\.local", made.name)


@pytest.mark.parametrize(
    "name",
    [
        x509.DNSName("bank.example"),
        x509.DNSName("other.local"),
        x509.DNSName("example"),
        x509.IPAddress(ipaddress.ip_address("203.0.113.7")),
        x509.IPAddress(ipaddress.ip_address("172.32.0.1")),
        x509.IPAddress(ipaddress.ip_address("2001:db8::1")),
    ],
    ids=str,
)
def test_a_stolen_key_signs_for_nothing_outside(
    made: Authority, tmp_path: Path, name: x509.GeneralName
) -> None:
    told = verify(made, signed_for(made, tmp_path, name))
    assert told.returncode != 0
    assert "permitted subtree violation" in told.stderr


def test_a_stolen_key_signs_for_a_private_address_at_most(made: Authority, tmp_path: Path) -> None:
    """What is left to whoever has the key: this machine's kind of network."""
    assert verify(made, signed_for(made, tmp_path, x509.IPAddress(OTHER))).returncode == 0


def test_a_stolen_key_makes_no_authority_of_its_own(made: Authority) -> None:
    for one, path in ((made.root, 1), (made.issuer, 0)):
        basic = one.extensions.get_extension_for_class(x509.BasicConstraints)
        assert basic.critical
        assert basic.value.path_length == path
        assert one.extensions.get_extension_for_class(x509.NameConstraints).critical


def test_the_roots_key_is_written_nowhere(made: Authority) -> None:
    assert sorted(path.name for path in made.folder.iterdir()) == [
        "authority.crt",
        "authority.key",
        "root.crt",
        "server.crt",
        "server.key",
    ]
    root = made.root.public_key().public_bytes(
        serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo
    )
    for name in KINDS:
        key = serialization.load_pem_private_key((made.folder / name).read_bytes(), None)
        public = key.public_key().public_bytes(
            serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo
        )
        assert public != root


def test_keys_are_their_owners_and_one_that_others_can_read_is_refused(made: Authority) -> None:
    assert stat.S_IMODE(made.folder.stat().st_mode) == 0o700
    for name in KINDS:
        assert stat.S_IMODE((made.folder / name).stat().st_mode) == 0o600
    (made.folder / "authority.key").chmod(0o640)
    with pytest.raises(BadInput, match="can read"):
        open_authority(made.folder, NOW)


def test_the_certificate_follows_addresses_and_is_renewed_in_time(made: Authority) -> None:
    first = leaf_of(made).serial_number
    assert not certify(made, (HOTSPOT,), NOW + dt.timedelta(days=39))
    assert certify(made, (OTHER,), NOW)
    assert verify(made, made.chain_file, "-verify_ip", str(OTHER)).returncode == 0
    assert verify(made, made.chain_file, "-verify_ip", str(HOTSPOT)).returncode != 0
    assert certify(made, (OTHER,), NOW + dt.timedelta(days=41))
    assert leaf_of(made).serial_number != first


def test_opened_again_it_is_the_same_authority_until_it_ends(made: Authority) -> None:
    again, new = open_authority(made.folder, NOW + dt.timedelta(days=600))
    assert not new
    assert (again.fingerprint, again.names) == (made.fingerprint, made.names)
    other, new = open_authority(made.folder, NOW + dt.timedelta(days=720))
    assert new
    assert other.fingerprint != made.fingerprint
    assert certify(other, (HOTSPOT,), NOW + dt.timedelta(days=720))


def test_a_certificate_lasts_no_longer_than_phones_take(made: Authority) -> None:
    """825 days is what iOS takes at most (its maker's support note of 2019, from memory)."""
    leaf = leaf_of(made)
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc < dt.timedelta(days=825)


def test_only_private_addresses_are_found_and_certified() -> None:
    """RFC 1918, 3; RFC 3927, 2.1; RFC 4193, 3.1."""
    for text, answer in (
        ("10.1.2.3", True),
        ("172.16.0.1", True),
        ("172.31.255.255", True),
        ("172.32.0.1", False),
        ("192.168.43.1", True),
        ("192.0.2.2", False),
        ("100.64.0.1", False),
        ("169.254.9.9", True),
        ("8.8.8.8", False),
    ):
        assert is_private(ipaddress.ip_address(text)) is answer, text
    assert all(is_private(one) for one in private_addresses())


def test_names_addresses_and_certificate_follow_the_hotspot(tmp_path: Path) -> None:
    now: list[list[ipaddress.IPv4Address | ipaddress.IPv6Address]] = [[]]
    room = Room(tmp_path / "network", 8000, 8001, clock=lambda: NOW, addresses=lambda: list(now[0]))
    try:
        assert room.reach().plain == ""
        assert "192.168.43.1" not in room.names()
        now[0] = [ipaddress.ip_address("127.0.0.2")]  # a stand-in that this machine has
        assert room.look()
        assert "127.0.0.2" in room.names()
        assert room.reach().plain == "http://127.0.0.2:8001"
        assert not room.look()
        now[0] = []
        assert room.look()
        assert "127.0.0.2" not in room.names()
    finally:
        room.close()
