"""Set up Shelfcheck on a machine that has only Python, then run it or check it.

Standard library only, for it runs before anything is installed:

    python3 -m shelfcheck.bootstrap run     set up, work out a sample, serve the app
    python3 -m shelfcheck.bootstrap test    set up, then lint, type check, audit and test

The flow, one way through: needs -> install_missing -> make_venv -> install_package, and then run_app or
check. Each step says what it does before doing it, and does nothing where nothing is to be done.
"""

from __future__ import annotations

import argparse
import hashlib
import importlib.util
import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from shelfcheck import audit

if TYPE_CHECKING:  # not at run time, so that a Python too old for this line is still told so by check_python
    Runner = Callable[[Sequence[str]], int]

ROOT = Path(__file__).resolve().parent.parent
OLDEST_PYTHON = (3, 11)
SAMPLE = Path("sample_labels", "fda_sample.png")
_PARALLEL = ("-n", "auto", "--dist", "loadfile")
"""A process for each core; the tests of one file share what they set up."""
DEBIAN_POSTGRES = Path("/usr/lib/postgresql")
DEBIAN_SBIN = Path("/usr/sbin")
CHILD_SETTINGS = {
    "OMP_THREAD_LIMIT": "1",  # Tesseracts side by side are far slower with threads (tesseract issue 3109)
    "PLAYWRIGHT_SKIP_BROWSER_DOWNLOAD": "1",  # the tests drive the system's Chromium
}


class SetupError(Exception):
    """Setting up cannot go on; the message says what to do next."""


@dataclass(frozen=True)
class Need:
    """Something the system must have, how to find it, the Debian packages that bring it, and why."""

    name: str
    probe: Callable[[], bool]
    packages: tuple[str, ...]
    why: str


def say(sentence: str) -> None:
    """Print one line at once, so that it stands before what it announces."""
    print(sentence, flush=True)


def shown(command: Sequence[str]) -> int:
    """Print a command and run it with its output in view; return its exit status."""
    say(f"$ {shlex.join(command)}")
    return subprocess.run(command, check=False).returncode


def quiet(command: Sequence[str]) -> int:
    """Run a command and show its output only when it fails; return its exit status."""
    done = subprocess.run(command, check=False, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    if done.returncode:
        say(f"$ {shlex.join(command)}\n{done.stdout.decode(errors='replace').rstrip()}")
    return done.returncode


def has_tesseract() -> bool:
    """Tesseract is on PATH and has its English and Spanish data."""
    if shutil.which("tesseract") is None:
        return False
    listing = subprocess.run(["tesseract", "--list-langs"], check=False, capture_output=True, text=True)
    return {"eng", "spa"} <= set(listing.stdout.split())


def has_postgres() -> bool:
    """PostgreSQL's server is on PATH or where Debian keeps it, off PATH."""
    return shutil.which("initdb") is not None or any(DEBIAN_POSTGRES.glob("*/bin/initdb"))


def has_nginx() -> bool:
    """The program nginx is on PATH or where Debian keeps it, off the PATH of who is not root."""
    return shutil.which("nginx") is not None or (DEBIAN_SBIN / "nginx").is_file()


def venv_is_good(folder: Path) -> bool:
    """The virtual environment's Python starts, is new enough and has pip."""
    python = folder / "bin" / "python"
    test = f"import pip, sys; sys.exit(sys.version_info < {OLDEST_PYTHON})"
    return python.exists() and subprocess.call([python, "-c", test], stderr=subprocess.DEVNULL) == 0


def needs(purpose: str, folder: Path) -> list[Need]:
    """List what the system must have to run the app or to test it, with the environment in `folder`."""
    venv = Need(
        "Python's ensurepip",
        lambda: importlib.util.find_spec("ensurepip") is not None or venv_is_good(folder),
        (f"python{sys.version_info.major}.{sys.version_info.minor}-venv",),
        "it makes the folder that the libraries go into",
    )
    tesseract = Need(
        "Tesseract with English and Spanish",
        has_tesseract,
        ("tesseract-ocr", "tesseract-ocr-eng", "tesseract-ocr-spa"),
        "it reads labels where the networks' libraries are not installed, and the tests try that too",
    )
    chromium = Need(
        "Chromium",
        lambda: shutil.which("chromium") is not None,
        ("chromium", "fonts-liberation"),
        "the tests use the phone app in it",
    )
    postgres = Need(
        "PostgreSQL",
        has_postgres,
        ("postgresql",),
        "the tests keep tours in it too",
    )
    nginx = Need(
        "nginx",
        has_nginx,
        ("nginx",),
        "the tests put it before the service, as .deploy/nginx.conf says",
    )
    return [venv] if purpose == "run" else [venv, tesseract, chromium, postgres, nginx]


def check_python(version: tuple[int, ...] = sys.version_info[:2]) -> None:
    """Raise SetupError when this Python is too old."""
    if version < OLDEST_PYTHON:
        have, want = (".".join(map(str, each)) for each in (version, OLDEST_PYTHON))
        raise SetupError(f"This is Python {have}. Start this with Python {want} or newer.")


def apt_get() -> list[str]:
    """Return how apt-get is started here, asking nothing; empty where packages cannot be installed."""
    command = ["env", "DEBIAN_FRONTEND=noninteractive", "apt-get"]
    if shutil.which("apt-get") is None:
        return []
    if os.geteuid() == 0:
        return command
    return ["sudo", *command] if shutil.which("sudo") else []


def advice(lacking: Iterable[Need]) -> str:
    """Say what a person types to install what is lacking."""
    packages = " ".join(package for need in lacking for package in need.packages)
    return f"To install it on Debian or Ubuntu: sudo apt-get update && sudo apt-get install {packages}"


def install_missing(wanted: Iterable[Need], apt: Sequence[str], run: Runner = quiet) -> None:
    """Install what is missing with the command `apt`, or, where that is empty or fails, say how to.

    Raises SetupError when something is still missing in the end.
    """
    missing = [need for need in wanted if not need.probe()]
    for need in missing:
        say(f"Missing: {need.name} ({need.why}).")
    if missing and apt:
        packages = [package for need in missing for package in need.packages]
        say(f"Installing {' '.join(packages)} with apt-get; this may take some minutes ...")
        run([*apt, "update"])  # one broken source need not stop the install, whose result is looked at
        run([*apt, "install", "--yes", "--no-install-recommends", *packages])
        missing = [need for need in missing if not need.probe()]
    if missing:
        names = ", ".join(need.name for need in missing)
        raise SetupError(f"Setting up stopped. Still missing: {names}. {advice(missing)}")


def make_venv(folder: Path, run: Runner = quiet) -> None:
    """Make the virtual environment, anew when it no longer works; raise SetupError when that cannot be."""
    if venv_is_good(folder):
        return
    if not (folder / "pyvenv.cfg").exists() and any(folder.glob("*")):
        raise SetupError(f"{folder} holds something else. Set SHELFCHECK_VENV to an empty or new folder.")
    say(f"Making a virtual environment in {folder} ...")
    if run([sys.executable, "-m", "venv", "--clear", str(folder)]):
        raise SetupError(f"Python could not make {folder}. Mend what it says above, then run this again.")


def fingerprint() -> str:
    """Return a digest of all that decides what an installation holds, where the package lies included."""
    digest = hashlib.sha256(bytes(ROOT))
    for name in ("pyproject.toml", ".constraints.txt"):
        digest.update((ROOT / name).read_bytes())
    return digest.hexdigest()


def install_package(folder: Path, purpose: str, run: Runner = quiet) -> None:
    """Install the package and its libraries unless a stamp says they are; raise SetupError when pip fails."""
    stamp = folder / f"installed-to-{purpose}"
    if stamp.exists() and stamp.read_text() == fingerprint():
        return
    say("Installing Shelfcheck and its libraries with pip; the first time takes a minute or two ...")
    package = f"{ROOT}[photos,dev]" if purpose == "test" else f"{ROOT}[photos]"
    pip = [str(folder / "bin" / "python"), "-m", "pip", "install", "--quiet"]
    if run([*pip, "--constraint", str(ROOT / ".constraints.txt"), "--editable", package]):
        raise SetupError("pip could not install the libraries. See its words above, then run this again.")
    # pip compiles what it copies, not what it only links to; without this each start would compile anew.
    run([pip[0], "-m", "compileall", "-q", str(ROOT / "shelfcheck")])
    stamp.write_text(fingerprint())


def run_app(folder: Path, serve_options: Sequence[str], *, serve: bool, run: Runner = shown) -> int:
    """Work out the sample, then become `shelfcheck serve`; return the sample's status if that is the end."""
    shelfcheck = str(folder / "bin" / "shelfcheck")
    status = run([shelfcheck, "eat", str(SAMPLE), "2 fists"])
    if serve and not status:
        # The server takes this process's place, so that Ctrl-C and signals reach it.
        os.execv(shelfcheck, [shelfcheck, "serve", *serve_options])  # noqa: S606 - there is no shell to need
    return status


def check(
    folder: Path, pytest_options: Sequence[str], run: Runner = shown, ask: Runner = audit.bounded
) -> int:
    """Lint, type check, audit and test, each in any case; return 0 only when all pass.

    A library with a known vulnerability fails; where nobody can be asked about it, that is said and passes.
    """
    python = [str(folder / "bin" / "python"), "-m"]
    steps = (
        ["ruff", "check"],
        ["ruff", "format", "--check"],
        ["mypy"],
        ["pytest", *_PARALLEL, *pytest_options],
    )
    audited = audit.audit(python[0], ROOT / ".constraints.txt", ask)
    for sentence in audited.said:
        say(sentence)
    failed = [["pip_audit"]] if audited.known else []
    failed += [step for step in steps if run([*python, *step])]
    for step in failed:
        say(f"Failed: {shlex.join(step)}")
    return 1 if failed else 0


def parse(arguments: Sequence[str] | None) -> tuple[argparse.Namespace, list[str]]:
    """Return our own options, and those to hand on to `shelfcheck serve` or to pytest."""
    parser = argparse.ArgumentParser(
        prog="python3 -m shelfcheck.bootstrap",
        description="Set up Shelfcheck, then run it or test it. Options not listed here are handed on: "
        "those of run to `shelfcheck serve` (--host, --port), those of test to pytest (-k WORD).",
        allow_abbrev=False,
    )
    parser.add_argument("purpose", choices=["run", "test"])
    parser.add_argument("--no-serve", action="store_true", help="with run: stop after the sample")
    return parser.parse_known_args(arguments)


def main(arguments: Sequence[str] | None = None) -> int:
    """Set up, then run or test; return the exit status (2: setting up failed, 130: stopped by Ctrl-C)."""
    options, handed_on = parse(arguments)
    folder = Path(os.environ.get("SHELFCHECK_VENV", ROOT / ".venv")).absolute()
    os.environ.update(CHILD_SETTINGS)
    os.chdir(ROOT)
    try:
        check_python()
        install_missing(needs(options.purpose, folder), apt_get())
        make_venv(folder)
        install_package(folder, options.purpose)
        if options.purpose == "run":
            return run_app(folder, handed_on, serve=not options.no_serve)
        return check(folder, handed_on)
    except SetupError as error:
        print(error, file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        say("\nStopped.")
        return 130


if __name__ == "__main__":
    sys.exit(main())
