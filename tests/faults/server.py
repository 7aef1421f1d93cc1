"""Lie to the real server over a raw socket, flood it and dawdle: each answer, its time and the memory it cost.

Run ``python -m tests.faults.server``. Loopback only; each request is sent once, then the server must still answer.
"""

from __future__ import annotations

import json
import os
import re
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
MOST_S = 10.0  # for one answer, on a machine that does other things as well
MOST_MB = 100.0  # more than at rest, for all of it together
CUT = "closed"  # the server hung up without a word, which it may where a request makes none

Reply = str


@dataclass(frozen=True, slots=True)
class Trick:
    """One thing that is sent, and what may be answered: statuses, or that the server hangs up."""

    name: str
    send: Callable[[int], Reply]
    allowed: frozenset[Reply]


@dataclass(frozen=True, slots=True)
class Tried:
    """What came of it."""

    name: str
    reply: Reply
    seconds: float
    grown_mb: float
    is_well: bool


class Server:
    """The server as it is started by whoever uses it."""

    def __init__(self, folder: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port: int = free.getsockname()[1]
        environment = {**os.environ, "ADVISOR_PORT": str(self.port), "ADVISOR_RECORDS": str(folder)}
        self._log = (folder / "log").open("wb")
        self.process = subprocess.Popen(
            [sys.executable, "-m", "webapp"], cwd=ROOT, env=environment, stdout=self._log, stderr=self._log
        )

    def wait(self) -> None:
        """Wait until it answers, and has done a bit of everything once."""
        end = time.monotonic() + 60
        while True:
            try:
                with socket.create_connection(("127.0.0.1", self.port), 1):
                    break
            except OSError:
                if time.monotonic() > end or self.process.poll() is not None:
                    raise
                time.sleep(0.1)
        for path in ("/", "/advice?setting=sun&air_high_c=30", "/plan", "/consultations"):
            plain(self.port, path)

    def resident_mb(self) -> float:
        """Memory that it occupies [MB]."""
        status = Path(f"/proc/{self.process.pid}/status").read_text()
        found = re.search(r"VmRSS:\s+(\d+) kB", status)
        assert found
        return int(found[1]) / 1024

    def stop(self) -> None:
        """Stop this one server."""
        self.process.terminate()
        self.process.wait(20)
        self._log.close()


@contextmanager
def running() -> Iterator[Server]:
    """Start one with records of its own, and stop it."""
    with tempfile.TemporaryDirectory() as folder:
        server = Server(Path(folder))
        try:
            server.wait()
            yield server
        finally:
            server.stop()


def raw(port: int, *parts: bytes, pause_s: float = 0.0, wait_s: float = 30.0) -> Reply:
    """Send bytes as they are; return the status of the answer, or that there was none."""
    with socket.create_connection(("127.0.0.1", port), wait_s) as link:
        try:
            for part in parts:
                link.sendall(part)
                time.sleep(pause_s)
        except OSError:
            pass  # it may hang up before all is sent; what it said is read all the same
        return _status(link)


def _status(link: socket.socket) -> Reply:
    said = b""
    try:
        while b"\r\n" not in said and (more := link.recv(4096)):
            said += more
    except TimeoutError:
        return "no answer"
    except OSError:
        return CUT
    found = re.match(rb"HTTP/1\.[01] (\d{3})", said)
    return found[1].decode() if found else CUT


def request(path: str, *headers: str, method: str = "GET", host: str = "127.0.0.1", body: bytes = b"") -> bytes:
    """Write a request that ends its connection."""
    lines = [f"{method} {path} HTTP/1.1", f"Host: {host}", *headers]
    if body:
        lines.append(f"Content-Length: {len(body)}")
    return ("\r\n".join([*lines, "Connection: close"]) + "\r\n\r\n").encode("latin-1") + body


def plain(port: int, path: str = "/") -> Reply:
    """Ask for a page as anybody would."""
    return raw(port, request(path))


def _posting(path: str, body: bytes, kind: str, *headers: str) -> Callable[[int], Reply]:
    whole = request(path, f"Content-Type: {kind}", *headers, method="POST", body=body)
    return lambda port: raw(port, whole)


def _getting(path: str, *headers: str, host: str = "127.0.0.1") -> Callable[[int], Reply]:
    return lambda port: raw(port, request(path, *headers, host=host))


def _asking(method: str) -> Callable[[int], Reply]:
    whole = request("/", method=method)
    return lambda port: raw(port, whole)


def _sending(*lines: str, body: bytes = b"") -> Callable[[int], Reply]:
    whole = "\r\n".join(lines).encode("latin-1") + b"\r\n\r\n" + body
    return lambda port: raw(port, whole, wait_s=4)


def _dawdling(port: int) -> Reply:
    """Hundreds of clients send one header and then nothing, while another asks for a page."""
    links = [socket.create_connection(("127.0.0.1", port), 5) for _ in range(450)]
    try:
        for link in links:
            link.sendall(b"GET /advice HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: ")
        return plain(port)
    finally:
        for link in links:
            link.close()


def _drop_by_drop(port: int) -> Reply:
    whole = request("/words")
    return raw(port, *(whole[place : place + 1] for place in range(len(whole))), pause_s=0.02)


def _never_reading(port: int) -> Reply:
    """Eight clients ask for the longest page and never read it, while another asks for a page."""
    links = [socket.create_connection(("127.0.0.1", port), 5) for _ in range(8)]
    try:
        for link in links:
            link.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            link.sendall(request("/style") * 3)
        return plain(port)
    finally:
        for link in links:
            link.close()


FORM, JSON = "application/x-www-form-urlencoded", "application/json"
REFUSED = frozenset({"400", CUT})
TIERS = json.dumps({"tiers": [{"width_cm": 20}] * 10_000}).encode()
FEW_TIERS = json.dumps({"tiers": [{}] * 10_000}).encode()
DEEP = b'{"tiers":' + b"[" * 30_000 + b"]" * 30_000 + b"}"
DIGITS = b'{"air_high_c": ' + b"9" * 60_000 + b"}"
QUERY = "&".join(f"x{number}=1" for number in range(100_000))
SAME = "&".join(["diet=vegan"] * 15_000)


def tricks() -> tuple[Trick, ...]:
    """List everything that is sent."""
    return (
        *_large(),
        *_odd_json(),
        *_hosts_and_headers(),
        *_lengths(),
        *_paths(),
        Trick("450 clients that never end their headers", _dawdling, frozenset({"200"})),
        Trick("a request that comes letter by letter", _drop_by_drop, frozenset({"200"})),
        Trick("8 clients that never read their answers", _never_reading, frozenset({"200"})),
    )


def _large() -> Iterator[Trick]:
    too_large = frozenset({"413", CUT})
    large = b"x=" + b"a" * 10_000_000
    yield Trick("10 MB form", _posting("/consultations", large, FORM), too_large)
    yield Trick("10 MB JSON", _posting("/api/advice", b'{"place": "' + large + b'"}', JSON), too_large)
    yield Trick("10 MB upload", _posting("/consultations", large, "multipart/form-data; boundary=b"), too_large)
    yield Trick("10,000 tiers, 180 kB of JSON", _posting("/api/advice", TIERS, JSON), frozenset({"413"}))
    yield Trick("10,000 tiers, 40 kB of JSON", _posting("/api/advice", FEW_TIERS, JSON), frozenset({"422"}))
    yield Trick("60 kB of names without a value", _posting("/consultations", b"&" * 60_000, FORM), REFUSED)
    many = b"&".join(b"a%d=1" % number for number in range(6_000))
    yield Trick("6,000 fields in a form", _posting("/consultations", many, FORM), frozenset({"400", "413"}))
    yield Trick("100,000 query parameters", _getting(f"/advice?{QUERY}"), frozenset({"400", "414", "431", CUT}))
    yield Trick("15,000 times the same parameter", _getting(f"/advice?{SAME}"), frozenset({"303", "400", "422"}))
    yield Trick("header of 300 kB", _getting("/", f"X-Long: {'a' * 300_000}"), frozenset({"400", "431", CUT}))
    yield Trick("5,000 headers", _getting("/", *(f"X-{n}: 1" for n in range(5_000))), frozenset({"200", "400", "431"}))


def _odd_json() -> Iterator[Trick]:
    wrong = frozenset({"400", "422"})
    yield Trick("JSON 30,000 deep", _posting("/api/advice", DEEP, JSON), wrong)
    yield Trick("a number of 60,000 digits", _posting("/api/advice", DIGITS, JSON), wrong)
    for name, text in (
        ("1e400 °C", b'{"air_high_c": 1e400}'),
        ("NaN °C", b'{"air_high_c": NaN}'),
        ("2e-308 h", b'{"hold_hours": 2e-308}'),
        ("half a surrogate in JSON", rb'{"place": "\ud800"}'),
        ("raw surrogate in JSON", b'{"place": "\xed\xa0\x80"}'),
        ("NUL in JSON", rb'{"place": "a\u0000"}'),
        ("UTF-16 as JSON", '{"air_high_c": 20}'.encode("utf-16")),
        ("not UTF-8", b'{"place": "\xff"}'),
    ):
        allowed = frozenset({"200"}) if name == "2e-308 h" else wrong
        yield Trick(name, _posting("/api/advice", text, JSON), allowed)
    yield Trick("malformed unicode in a query", _getting("/?place=%ED%A0%80%FF%C0%AF%00"), frozenset({"200"}))
    yield Trick("malformed unicode in a form", _posting("/consultations", b"client=%ED%A0%80%00", FORM), REFUSED)


def _hosts_and_headers() -> Iterator[Trick]:
    for host in ("evil.example", "127.0.0.1.evil.example", "", "127.0.0.1:99999", "[::1", "a b", "\xff", "h" * 5_000):
        yield Trick(f"Host {host[:24]!r}", _getting("/", host=host), REFUSED)
    yield Trick("two Hosts", _getting("/", "Host: evil.example"), REFUSED)
    yield Trick("no Host", _sending("GET / HTTP/1.1", "Connection: close"), REFUSED | {"403"})
    # Answered as if it had been asked of its Host: no page and no link is made with the name in the address.
    yield Trick("the address as proxies have it", _getting("http://evil.example/"), frozenset({"200", "400", "403"}))
    foreign = frozenset({"403"})
    yield Trick("Origin of another site", _posting("/units", b"units=us", FORM, "Origin: http://evil.example"), foreign)
    yield Trick("Origin null", _posting("/units", b"units=us", FORM, "Origin: null"), foreign)
    yield Trick("form sent from another site", _posting("/units", b"u=1", FORM, "Sec-Fetch-Site: cross-site"), foreign)
    yield Trick("passed on by a server in front", _getting("/", "X-Forwarded-For: 1.2.3.4"), foreign)
    yield Trick("passed on, by another name", _getting("/", "X-Real-IP: 1.2.3.4"), foreign)
    yield Trick("Forwarded", _getting("/", "Forwarded: for=127.0.0.1;host=evil.example"), foreign)
    odd = frozenset({"200", "400"})
    yield Trick("cookie of 60 kB", _getting("/", "Cookie: csrf=" + "a" * 60_000), frozenset({"200", "400", "431"}))
    yield Trick("cookie of bytes", _getting("/", "Cookie: units=\xff\xfe; csrf=\x01"), odd)
    yield Trick("Accept-Language of 10 kB", _getting("/", "Accept-Language: " + "a;q=1," * 1_600), odd)
    yield Trick(
        "range of a file", _getting("/static/style.css", "Range: bytes=0-,0-,0-"), frozenset({"200", "206", "416"})
    )
    yield Trick("If-None-Match of 10 kB", _getting("/static/style.css", 'If-None-Match: "' + "a" * 10_000 + '"'), odd)


def _lengths() -> Iterator[Trick]:
    head = ("POST /api/advice HTTP/1.1", "Host: 127.0.0.1", f"Content-Type: {JSON}", "Connection: close")
    waits = frozenset({"no answer"}) | REFUSED
    yield Trick("says 1000 bytes, sends 2", _sending(*head, "Content-Length: 1000", body=b"{}"), waits)
    yield Trick("says 1 byte, sends 2", _sending(*head, "Content-Length: 1", body=b"{}"), frozenset({"422", "400"}))
    for length in ("-1", "1e3", "0x2", "+2", "2, 3", "9" * 30, "two"):
        allowed = REFUSED | {"413"}
        yield Trick(f"Content-Length {length[:12]}", _sending(*head, f"Content-Length: {length}", body=b"{}"), allowed)
    twice = ("Content-Length: 2", "Content-Length: 30")
    yield Trick("two Content-Lengths", _sending(*head, *twice, body=b"{}"), REFUSED)
    chunked = "Transfer-Encoding: chunked"
    yield Trick("chunked", _sending(*head, chunked, body=b"2\r\n{}\r\n0\r\n\r\n"), frozenset({"200"}))
    both = (chunked, "Content-Length: 2")
    smuggled = b"0\r\n\r\nGET /accounts HTTP/1.1\r\n\r\n"
    yield Trick("chunked and a length", _sending(*head, *both, body=smuggled), frozenset({"400", "422", CUT}))
    for coding in ("gzip, chunked", "xchunked", "chunked, chunked", "identity"):
        allowed = frozenset({"400", "501"}) | waits
        yield Trick(f"Transfer-Encoding {coding}", _sending(*head, f"Transfer-Encoding: {coding}", body=b"{}"), allowed)
    yield Trick("chunk that never ends", _sending(*head, chunked, body=b"ffffffff\r\n{}"), waits | {"413"})
    yield Trick("chunk of no number", _sending(*head, chunked, body=b"zz\r\n{}\r\n0\r\n\r\n"), REFUSED)


def _paths() -> Iterator[Trick]:
    gone = frozenset({"400", "404"})
    for path in (
        *("/static/../webapp/config.py", "/static/%2e%2e/webapp/config.py", "/static/..%2f..%2fetc/passwd"),
        *("/static/%252e%252e/x", "/static/\\..\\x", "/static//etc/passwd", "/%00", "/static/style.css%00.txt"),
        *("/consultations/%00", "/consultations/" + "a" * 50_000, "/s/" + "a" * 50_000, "/families/%ED%A0%80"),
        *("/" + "a/" * 20_000, "/families/" + "%F0%9F%8E%82" * 2_000, "/%2e%2e/%2e%2e/etc/passwd"),
    ):
        # Two slashes in a row are led to one.
        allowed = gone | ({"308"} if "//" in path else set())
        yield Trick(f"path {path[:34]}", _getting(path), allowed)
    yield Trick("path //evil.example", _getting("//evil.example/"), gone | {"308", "403"})
    yield Trick("log-in that leads elsewhere", _getting("/log-in?back=//evil.example"), frozenset({"200", "303"}))
    for method in ("TRACE", "CONNECT", "PUT", "DELETE", "PROPFIND", "A" * 3_000, "g\x00t"):
        yield Trick(f"method {method[:9]!r}", _asking(method), frozenset({"400", "403", "405", CUT}))
    yield Trick("no HTTP at all", _sending("\x16\x03\x01\x02\x00\x01\x00"), REFUSED)
    yield Trick(
        "HTTP/9.9", _sending("GET / HTTP/9.9", "Host: 127.0.0.1", "Connection: close"), REFUSED | {"200", "505"}
    )


def try_all(server: Server, chosen: tuple[Trick, ...]) -> Iterator[Tried]:
    """Try tricks one after the other; after each the server must still give its first page."""
    for trick in chosen:
        before, begin = server.resident_mb(), time.perf_counter()
        reply = trick.send(server.port)
        taken = time.perf_counter() - begin
        is_well = reply in trick.allowed and taken < MOST_S and plain(server.port) == "200"
        yield Tried(trick.name, reply, taken, server.resident_mb() - before, is_well)


def main() -> None:
    """Print what came of each."""
    with running() as server:
        rest = server.resident_mb()
        print(f"{'sent':44}{'answer':>12}{'s':>8}{'MB more':>9}")
        bad = 0
        for tried in try_all(server, tricks()):
            mark = "" if tried.is_well else "   FAULT"
            print(f"{tried.name:44}{tried.reply:>12}{tried.seconds:8.2f}{tried.grown_mb:9.1f}{mark}", flush=True)
            bad += not tried.is_well
        end = server.resident_mb()
    print(f"at rest {rest:.0f} MB, at the end {end:.0f} MB; {bad} faults; bounds {MOST_S:g} s and {MOST_MB:g} MB more")
    sys.exit(bool(bad) or end - rest > MOST_MB)


if __name__ == "__main__":
    main()
