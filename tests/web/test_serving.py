"""The screens on a laptop: who is let in, what comes in, what the own authority can vouch for. No socket is opened but for https."""
from __future__ import annotations

import asyncio
import datetime
import http.server
import socket
import ssl
import stat
import threading
import time
from collections.abc import Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path
from urllib.parse import urlencode

import pytest
import uvicorn
from PIL import Image
from playwright.sync_api import Playwright

from spareway.doc import InputError
from spareway.folder import read_folder
from spareway.survey.rows import rows_of
from spareway.web.authority import Authority, authority, vouched
from spareway.web.bridge import Answer, ask
from spareway.web.policy import HEADERS
from spareway.web.serve import COOKIE, Door, first_step, served
from spareway.web.server_photos import LONGEST_PX, cleaned
from tests.web.phone import ROOT, Phone

NOW = datetime.datetime(2026, 11, 25, 12, tzinfo=datetime.UTC)
HTMX = ROOT / "node_modules" / "htmx.org" / "dist" / "htmx.min.js"
HOST = {"host": "127.0.0.1:8470"}


def told(answer: Coroutine[None, None, Answer]) -> Answer:
    """Its result, worked out in a thread of its own: a driven browser already runs a loop in this one."""
    with ThreadPoolExecutor(1) as beside:
        return beside.submit(asyncio.run, answer).result()


def asked(jobs: Path, method: str, path: str, headers: dict[str, str], body: bytes = b"", door: Door | None = None) -> Answer:
    path, _, query = path.partition("?")
    return told(ask(served(jobs, HTMX, door or Door()), method, path, query, list(headers.items()), body, ""))


def test_a_name_is_kept_and_the_next_screen_shows_it(tmp_path: Path) -> None:
    """A form from our own page is kept in the folder; each answer carries the whole policy."""
    status, _, _ = asked(tmp_path, "POST", "/app/this-phone", {**HOST, "sec-fetch-site": "same-origin"}, urlencode({"by": "JB"}).encode())
    assert status == 303
    status, headers, body = asked(tmp_path, "GET", "/app/this-phone", HOST)
    assert status == 200
    assert b'value="JB"' in body
    assert dict(headers).items() >= HEADERS.items()
    assert dict(headers)["cache-control"] == "no-store"


@pytest.mark.parametrize("headers", [{"sec-fetch-site": "cross-site"}, {"sec-fetch-site": "same-site"}, {"origin": "https://elsewhere.example"}, {}])
def test_a_page_of_another_site_changes_nothing(tmp_path: Path, headers: dict[str, str]) -> None:
    """A change that another site's page asks for is refused, and one that does not say where it comes from."""
    status, _, body = asked(tmp_path, "POST", "/app/this-phone", {**HOST, **headers}, b"by=XX")
    assert (status, b"Nothing was changed" in body) == (403, True)
    assert list(tmp_path.iterdir()) == []


def test_another_name_for_this_machine_is_refused(tmp_path: Path) -> None:
    """A stranger's name that leads to loopback is not answered, so no page of theirs can read ours."""
    assert asked(tmp_path, "GET", "/app/", {"host": "elsewhere.example"})[0] == 400


def test_over_the_network_the_key_opens_and_nothing_else(tmp_path: Path) -> None:
    """No cookie and a wrong cookie see no job; the key in the address becomes a cookie that does."""
    door = Door.with_key(["192.168.7.2"])
    host = {"host": "192.168.7.2:8470"}
    assert asked(tmp_path, "GET", "/app/", host, door=door)[0] == 403
    assert asked(tmp_path, "GET", "/app/", {**host, "cookie": f"{COOKIE}=guess"}, door=door)[0] == 403
    assert asked(tmp_path, "GET", "/enter?key=guess", host, door=door)[0] == 403
    status, headers, _ = asked(tmp_path, "GET", f"/enter?key={door.key}", host, door=door)
    cookie = dict(headers)["set-cookie"]
    assert status == 303
    assert {"HttpOnly", "SameSite=strict", "Secure"} <= set(cookie.split("; "))
    assert asked(tmp_path, "GET", "/app/", {**host, "cookie": cookie.partition(";")[0]}, door=door)[0] == 200


def shot(size: tuple[int, int] = (2400, 1200)) -> bytes:
    """A picture that was held sideways, with a place in it: its left half is red as stored."""
    picture = Image.new("RGB", size, "blue")
    picture.paste("red", (0, 0, size[0] // 2, size[1]))
    exif = picture.getexif()
    exif[0x0112], exif[0x010F] = 6, "a maker of cameras"              # turn a quarter to the right to see it upright; who made it
    exif.get_ifd(0x8825)[2] = (51.0, 30.0, 0.0)                       # latitude
    out = BytesIO()
    picture.save(out, "JPEG", exif=exif)
    return out.getvalue()


def test_a_photo_is_turned_made_small_and_holds_nothing_but_itself() -> None:
    """Sideways in, upright out (red above), at most 1600 px, and neither place nor maker is left in the bytes."""
    raw = shot()
    assert b"a maker of cameras" in raw
    clean = cleaned(raw)
    with Image.open(BytesIO(clean)) as seen:
        assert max(seen.size) == LONGEST_PX
        assert seen.height == 2 * seen.width
        assert not seen.getexif()
        assert seen.getpixel((seen.width // 2, 100))[0] > 200          # type: ignore[index]
        assert seen.getpixel((seen.width // 2, seen.height - 100))[2] > 200        # type: ignore[index]
    assert b"maker" not in clean
    assert b"Exif" not in clean


@pytest.mark.parametrize("data", [b"", b"GIF89a", b"\xff\xd8\xff\xe0 no more of it", b"<svg/>", shot()[:600]])
def test_what_is_no_whole_picture_is_refused(data: bytes) -> None:
    """Text, another kind and a picture that ends too early each raise one fault about the photo."""
    with pytest.raises(InputError, match="photo"):
        cleaned(data)


def test_a_small_file_that_claims_too_many_pixels_is_refused() -> None:
    """The size that a picture claims is looked at before a pixel of it is unpacked."""
    out = BytesIO()
    Image.new("1", (10_000, 6_001)).save(out, "PNG")
    assert len(out.getvalue()) < 100_000
    with pytest.raises(InputError, match="too many pixels"):
        cleaned(out.getvalue())


def test_a_photo_sent_to_the_server_is_kept_without_its_place(tmp_path: Path) -> None:
    """What lies in the job's folder afterwards is the cleaned picture, and its row names the digest of those bytes."""
    job = tmp_path / "a-job"
    job.mkdir()
    for name, text in read_folder(ROOT / "examples" / "weir-cottage").items():
        (job / name).parent.mkdir(exist_ok=True)
        (job / name).write_text(text, "utf-8")
    same = {**HOST, "sec-fetch-site": "same-origin", "content-type": "application/octet-stream"}
    asked(tmp_path, "POST", "/app/this-phone", same, b"by=JB")
    status, _, body = asked(tmp_path, "POST", "/app/jobs/a-job/photos?purpose=report&consent=owner", same, shot())
    assert status in (204, 303), body
    (kept,) = (job / "photos").glob("*.jpg")
    assert b"maker" not in kept.read_bytes()
    assert kept.stem in (job / "photos.csv").read_text("utf-8")


@pytest.mark.parametrize(("wished", "kept"), [
    ("", ("nobody but us", "not asked")), ("?purpose=report", ("nobody but us", "not asked")),
    ("?purpose=report&consent=not%20asked", ("nobody but us", "not asked")), ("?purpose=report&consent=owner", ("report", "owner")),
    ("?consent=occupant", ("nobody but us", "occupant"))])
def test_a_photo_is_for_nobody_but_us_until_somebody_agreed(tmp_path: Path, wished: str, kept: tuple[str, str]) -> None:
    """Neither use nor consent stands chosen on the page; what nobody agreed to goes no further, and an agreement may come later."""
    (tmp_path / "a-job").mkdir()
    for name, text in read_folder(ROOT / "examples" / "granary-yard").items():
        (tmp_path / "a-job" / name).parent.mkdir(exist_ok=True)
        (tmp_path / "a-job" / name).write_text(text, "utf-8")
    same = {**HOST, "sec-fetch-site": "same-origin", "content-type": "application/octet-stream"}
    asked(tmp_path, "POST", "/app/this-phone", same, b"by=JB")
    assert asked(tmp_path, "POST", f"/app/jobs/a-job/photos{wished}", same, shot())[0] in (204, 303)
    (row,) = [r for r in rows_of(read_folder(tmp_path / "a-job"), "photos.csv") if r.by == "JB"]
    assert (row.purpose, row.consent) == kept
    page = asked(tmp_path, "GET", "/app/jobs/a-job/photos", HOST)[2].decode()
    assert " checked" not in page
    later = asked(tmp_path, "POST", "/app/jobs/a-job/photos/agreed", {**HOST, "sec-fetch-site": "same-origin"}, f"of={row.id}&purpose=report&consent=owner".encode())
    assert later[0] == 303
    (_, now) = [r for r in rows_of(read_folder(tmp_path / "a-job"), "photos.csv") if r.by == "JB"]
    assert (now.purpose, now.consent, now.strikes, now.sha256) == ("report", "owner", row.id, row.sha256)
    assert asked(tmp_path, "POST", "/app/jobs/a-job/photos/agreed", {**HOST, "sec-fetch-site": "same-origin"}, f"of={now.id}&consent=not+asked".encode())[0] == 404


# ---- the authority --------------------------------------------------------------------------------------------------------
@pytest.fixture
def own(tmp_path: Path) -> Authority:
    return authority(tmp_path / "own", NOW)


def test_the_authority_is_made_once_and_its_key_is_its_owners(own: Authority) -> None:
    """The second start finds the same certificate; the keys can be read by nobody else."""
    folder = own.file.parent
    assert authority(folder, NOW).fingerprint == own.fingerprint
    vouched(own, ["192.168.7.2"], folder, NOW)
    for key in ("authority.key", "server.key"):
        assert stat.S_IMODE((folder / key).stat().st_mode) == 0o600


def test_it_vouches_for_no_public_address(own: Authority) -> None:
    """An address that is not private is refused by name."""
    with pytest.raises(ValueError, match=r"8\.8\.4\.4 is no private address"):
        vouched(own, ["8.8.4.4"], own.file.parent, NOW)


def test_who_trusts_the_authority_reaches_the_server_and_who_does_not_is_warned(own: Authority) -> None:
    """A real handshake on loopback: verified with the authority, refused without it, and refused for another name."""
    certificate, key = vouched(own, ["127.0.0.1"], own.file.parent, datetime.datetime.now(datetime.UTC))
    inside = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    inside.load_cert_chain(certificate, key)
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), http.server.BaseHTTPRequestHandler) as server:
        server.socket = inside.wrap_socket(server.socket, server_side=True, do_handshake_on_connect=False)
        server.handle_error = lambda request, client_address: None     # type: ignore[method-assign, assignment]
        threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True).start()

        def reached(trusting: ssl.SSLContext, name: str) -> str | None:
            with socket.create_connection(server.server_address[:2], 5) as plain, trusting.wrap_socket(plain, server_hostname=name) as line:  # type: ignore[arg-type]
                return line.version()

        assert reached(ssl.create_default_context(cafile=str(own.file)), "127.0.0.1") == "TLSv1.3"
        with pytest.raises(ssl.SSLCertVerificationError):
            reached(ssl.create_default_context(), "127.0.0.1")
        with pytest.raises(ssl.SSLCertVerificationError):
            reached(ssl.create_default_context(cafile=str(own.file)), "192.168.7.3")
        server.shutdown()


def test_the_first_step_names_the_fingerprint_and_hands_over_the_certificate(own: Authority) -> None:
    """Over plain http there is the certificate with its fingerprint, and neither a key nor a job."""
    app = first_step(own.file, own.fingerprint, "https://192.168.7.2:8470/", ["192.168.7.2"])
    host = [["host", "192.168.7.2:8471"]]
    status, _, body = told(ask(app, "GET", "/", "", host, b"", ""))
    assert (status, own.fingerprint.encode() in body) == (200, True)
    status, _, body = told(ask(app, "GET", "/authority.crt", "", host, b"", ""))
    assert (status, body) == (200, own.file.read_bytes())
    for path in ("/authority.key", "/app/", "/enter"):
        assert told(ask(app, "GET", path, "", host, b"", ""))[0] == 404


# ---- a real browser at a real server --------------------------------------------------------------------------------------------
@pytest.fixture
def laptop(tmp_path: Path) -> Iterator[str]:
    """The screens answered by uvicorn on loopback over an empty folder; their address."""
    (tmp_path / "jobs").mkdir()
    server = uvicorn.Server(uvicorn.Config(served(tmp_path / "jobs", HTMX, Door()), host="127.0.0.1", port=0, log_level="error"))
    running = threading.Thread(target=server.run, daemon=True)
    running.start()
    while not server.started:
        time.sleep(0.01)
    yield f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}/"
    server.should_exit = True
    running.join(10)


def test_the_same_screens_in_a_browser_at_the_laptop(driver: Playwright, laptop: str, tmp_path: Path) -> None:
    """A plain browser is shown whole pages, htmx works under the policy, a job begun by touch lies in the folder, and the
    page says that it is kept there."""
    held = Phone(driver, tmp_path / "profile", laptop)
    try:
        page = held.start()
        page.goto(laptop)
        page.fill("#by", "JB")
        held.tap("button:text-is('Keep')")
        held.tap("a:text-is('New job')")
        page.fill("#said", "Mill House")
        held.tap("button:text-is('Keep, and next')")
        held.tap("button:text-is('England')")
        held.tap("button:text-is('TN-S')")
        page.wait_for_url("**/app/jobs/mill-house/")
        assert "kept in this folder" in page.inner_text("header.top")
        assert held.strange() == []
    finally:
        held.off()
    assert 'nation' in (tmp_path / "jobs" / "mill-house" / "job.toml").read_text("utf-8")
