"""The phone's site: static files that any https host can serve, the engine among them as bytecode. No server answers it."""

from __future__ import annotations

import gzip
import hashlib
import importlib.metadata
import json
import shutil
import subprocess
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory

from spareway import __version__
from spareway.web.policy import POLICY

__all__ = ["Built", "NoRuntime", "build"]

RUNTIME = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm")
LIBRARIES = ("starlette", "jinja2", "markupsafe", "anyio", "tomlkit")
# of these, what no page of ours asks for in a browser: threads and sockets, a server's own parts, other sorts of templates
UNASKED = (
    "anyio/_backends/", "anyio/pytest_plugin.py", "jinja2/ext.py", "jinja2/sandbox.py", "jinja2/nativetypes.py",
    "starlette/testclient.py", "starlette/staticfiles.py", "starlette/endpoints.py", "starlette/authentication.py",
    "starlette/schemas.py", "starlette/config.py", "starlette/templating.py",
    *(f"starlette/middleware/{name}.py" for name in ("base", "cors", "gzip", "httpsredirect", "opentelemetry", "sessions",
                                                     "trustedhost", "wsgi")),
)  # fmt: skip
# typesetting, the command line and whole winters stay at home
NOT_ON_THE_PHONE = ("cli", "press", "fast", "season", "api_season.py")
# whose docstrings say something at run time: a formula's, a rule's, a table's in the schema of a job
TOLD = ("spareway/fact.py", "spareway/physics/", "spareway/rules/", "spareway/job/")
# papers that are set in type, and what fills them: the phone makes its pocket page and no other
POCKET = ("__init__.py", "pocket.py", "words.py", "templates/pocket.html")
NOT_IN_WEB = ("serve.py", "site.py", "authority.py", "server_photos.py", "static", "pack.mjs")
# of the standard library, what no page of ours asks for: a top entry, or a file by its whole name
UNUSED = (
    "_pyrepl", "unittest", "pdb.py", "bdb.py", "doctest.py", "pydoc.py", "pydoc_data", "xml", "xmlrpc", "wsgiref",
    "imaplib.py", "optparse.py", "mailbox.py", "multiprocessing", "pickletools.py", "turtle.py", "tkinter", "idlelib",
    "ensurepip", "lib2to3", "venv", "smtplib.py", "poplib.py", "ftplib.py", "curses", "dbm", "sqlite3", "_pyio.py",
    "statistics.py", "configparser.py", "cProfile.py", "profile.py", "pstats.py", "trace.py", "tarfile.py", "argparse.py",
    "ctypes", "_pydatetime.py", "_sysconfigdata__emscripten_wasm32-emscripten.py", "sysconfig", "plistlib.py",
    "modulefinder.py", "fractions.py", "pprint.py", "gettext.py", "tracemalloc.py", "wave.py", "socketserver.py",
    "compileall.py", "symtable.py", "cmd.py", "fileinput.py", "runpy.py", "pyclbr.py", "tabnanny.py", "code.py", "filecmp.py",
    "timeit.py", "zipapp.py", "netrc.py", "getpass.py", "shelve.py", "py_compile.py", "getopt.py", "rlcompleter.py", "pty.py",
    "webbrowser.py", "sched.py", "colorsys.py", "tty.py", "nturl2path.py", "this.py", "antigravity.py",
    "asyncio/windows_events.py", "asyncio/windows_utils.py", "asyncio/proactor_events.py", "asyncio/__main__.py",
    "asyncio/tools.py", "logging/config.py", "logging/handlers.py", "concurrent/futures/process.py",
    "concurrent/futures/interpreter.py", "json/tool.py", "zipfile/__main__.py",
    "http/server.py", "http/cookiejar.py", "urllib/request.py", "urllib/robotparser.py",
)  # fmt: skip
# tables of letters that nothing of ours is in, by how their names begin; an old zip's and a western spreadsheet's stay
LETTERS = ("cp", "iso", "mac_", "koi8", "big5", "euc_", "gb", "shift", "johab", "hz", "kz", "ptcp", "tis", "hp_", "palmos")
LETTERS_KEPT = ("cp437.py", "cp1252.py")
SHELL = (
    "index.html", "hand.js", "asked.js", "redraw.js", "phone.js", "worker.js", "woken.js", "shown.js", "store.js", "trust.js",
    "spareway.css", "manifest.webmanifest",
)  # fmt: skip
_SAME_DAY = (2026, 1, 1, 0, 0, 0)


class NoRuntime(RuntimeError):
    """What the site is made of is not installed here; says what to do."""


@dataclass(frozen=True, slots=True)
class Built:
    """What was written: name -> (bytes, bytes as sent, gzipped), and the digest of the engine's sources."""

    sizes: dict[str, tuple[int, int]]
    engine_sha256: str

    @property
    def first_visit_bytes(self) -> int:
        """All that a phone fetches once."""
        total = 0
        for _, packed in self.sizes.values():
            total += packed
        return total


def build(into: Path, runtime: Path) -> Built:
    """Writes the site. runtime: a node_modules with pyodide and htmx.org. Errors: NoRuntime; OSError."""
    pyodide, htmx = runtime / "pyodide", runtime / "htmx.org" / "dist" / "htmx.min.js"
    if not (pyodide / RUNTIME[-1]).is_file() or not htmx.is_file():
        raise NoRuntime(f"{runtime} holds no pyodide and htmx.org: npm install pyodide htmx.org, then name their node_modules")
    if shutil.which("node") is None:
        raise NoRuntime("node is not installed: it compiles the engine for the phone")
    into.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory(dir=into.parent, prefix=".site-") as folder:
        built = _built(Path(folder), pyodide, htmx)
        _moved(Path(folder), into)
    return built


def _built(new: Path, pyodide: Path, htmx: Path) -> Built:
    """The whole site in a new folder, so that one that is in use is never half of each."""
    (new / "py").mkdir()
    for name in RUNTIME:
        shutil.copyfile(pyodide / name, new / "py" / name)
    lock = json.loads((pyodide / "pyodide-lock.json").read_text("utf-8"))
    (new / "py" / "pyodide-lock.json").write_text(json.dumps({**lock, "packages": {}}), "utf-8")  # no package is fetched
    sha = _python(new, pyodide)
    shutil.copyfile(htmx, new / "htmx.min.js")
    _shell(new, sha)
    return Built(dict(_packed(new)), sha)


def _other_letters(library: Path) -> list[str]:
    """The tables of letters that nothing of ours is in."""
    with zipfile.ZipFile(library) as zipped:
        tables = [name for name in zipped.namelist() if Path(name).match("encodings/*.py")]
    return [name for name in tables if Path(name).name.startswith(LETTERS) and Path(name).name not in LETTERS_KEPT]


def _moved(new: Path, into: Path) -> None:
    """Each file over its older self; the one that tells phones of a newer version last. Other files in the folder stay."""
    (into / "py").mkdir(exist_ok=True)
    for file in sorted((f for f in new.rglob("*") if f.is_file()), key=lambda f: (f.name.startswith("sw.js"), f.name)):
        target = into / file.relative_to(new)
        if not file.name.endswith(".gz"):
            target.with_name(f"{target.name}.gz").unlink(missing_ok=True)
        file.replace(target)


# ---- the engine -------------------------------------------------------------------------------------------------------
def _python(into: Path, pyodide: Path) -> str:
    """The standard library and the engine, compiled; the digest of the engine's own sources."""
    sources, library = dict(_sources()), pyodide / "python_stdlib.zip"
    with TemporaryDirectory() as folder:
        source = Path(folder) / "source.zip"
        with zipfile.ZipFile(source, "w") as zipped:
            for name, data in sorted(sources.items()):
                zipped.writestr(zipfile.ZipInfo(name, _SAME_DAY), data)
        _compiled(
            pyodide,
            _Work(library, into / "py" / library.name, "/lib/python314.zip/", drop=(*UNUSED, *_other_letters(library))),
            _Work(source, into / "py" / "engine.zip", "", told=TOLD, keep=("anyio",)),
        )
    (into / "NOTICE.txt").write_text(_notices(), "utf-8")
    own = hashlib.sha256()
    for name in sorted(sources):
        if name.startswith("spareway/"):
            own.update(name.encode() + b"\0" + sources[name])
    return own.hexdigest()


def _sources() -> Iterator[tuple[str, bytes]]:
    """Every file of the engine and of the libraries it needs on the phone, by its name in site-packages."""
    root = Path(str(files("spareway")))
    for file in sorted(root.rglob("*")):
        parts = file.relative_to(root).parts
        if file.is_file() and not _stays_at_home(parts):
            yield f"spareway/{'/'.join(parts)}", file.read_bytes()
    for library in LIBRARIES:
        for each in importlib.metadata.files(library) or ():
            if each.suffix == ".py" and ".." not in each.parts and not each.as_posix().startswith(UNASKED):
                yield str(each), Path(str(each.locate())).read_bytes()


def _stays_at_home(parts: Sequence[str]) -> bool:
    """Whether a file of ours, by the steps to it, is none that a phone asks for."""
    set_in_type = parts[0] == "papers" and "/".join(parts[1:]) not in POCKET
    server = parts[0] == "web" and bool(set(parts) & set(NOT_IN_WEB))
    return parts[0] in NOT_ON_THE_PHONE or "__pycache__" in parts or set_in_type or server


def _notices() -> str:
    """The licence of everything that travels along, as its package states it."""
    lines = ["Made of these, each under its own licence:", ""]
    for library in LIBRARIES:
        said = importlib.metadata.metadata(library)
        lines.append(f"{library} {said['Version']}: {said['License-Expression'] or said['License'] or 'see its package'}")
        for each in importlib.metadata.files(library) or ():
            if "licen" in each.name.lower():
                lines += ["", Path(str(each.locate())).read_text("utf-8").strip(), ""]
    return "\n".join([*lines, "pyodide (MPL-2.0), CPython (PSF-2.0), htmx.org (0BSD)", ""])


@dataclass(frozen=True, slots=True)
class _Work:
    """A zip of sources to compile. prefix: of the names that a traceback shows; the rest as pack.mjs."""

    source: Path
    to: Path
    prefix: str
    told: Sequence[str] = ()
    keep: Sequence[str] = ()
    drop: Sequence[str] = ()


def _compiled(pyodide: Path, *work: _Work) -> None:
    script = str(files("spareway.web") / "pack.mjs")
    told = json.dumps(
        [{"from": str(w.source.resolve()), "to": str(w.to.resolve()), "prefix": w.prefix, "told": w.told, "keep": w.keep,
          "drop": w.drop} for w in work]
    )  # fmt: skip
    command = ["node", script, str(pyodide.resolve()), told]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        says = done.stderr.strip().splitlines()
        raise NoRuntime(f"compiling {' and '.join(w.source.name for w in work)} failed: {says[-1] if says else 'no word'}")


# ---- the shell ----------------------------------------------------------------------------------------------------------
def _shell(into: Path, sha: str) -> None:
    static = files("spareway.web") / "static"
    for name in SHELL:
        text = (static / name).read_text("utf-8")
        (into / name).write_text(text.replace("%POLICY%", POLICY), "utf-8")
    (into / "engine.json").write_text(json.dumps({"spareway": __version__, "sha256": sha}), "utf-8")
    kept = sorted(f for f in into.rglob("*") if f.is_file())
    version = hashlib.sha256(b"".join(hashlib.sha256(f.read_bytes()).digest() for f in kept)).hexdigest()[:16]
    for name in ("woken.js", "shown.js"):  # what they keep is of this version and of no other
        (into / name).write_text((into / name).read_text("utf-8").replace("%VERSION%", version), "utf-8")
    names = ["./", *(f.relative_to(into).as_posix() for f in kept if f.name not in ("index.html", "NOTICE.txt"))]
    worker = (static / "sw.js").read_text("utf-8").replace("%VERSION%", version).replace("%FILES%", json.dumps(names))
    (into / "sw.js").write_text(worker, "utf-8")


def _packed(into: Path) -> Iterator[tuple[str, tuple[int, int]]]:
    """Beside each file that gains by it, the same gzipped, for a host that can send it so."""
    for file in sorted(f for f in into.rglob("*") if f.is_file()):
        data = file.read_bytes()
        small = gzip.compress(data, 9, mtime=0)
        if len(small) < 0.9 * len(data):
            file.with_name(f"{file.name}.gz").write_bytes(small)
        yield file.relative_to(into).as_posix(), (len(data), min(len(small), len(data)))
