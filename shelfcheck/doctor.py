"""``shelfcheck doctor``: whether this machine has what the service needs, one line for each thing.

Nothing is made or changed: no table, no file that stays. Each check tells what it found, or what to do.
"""

from __future__ import annotations

import importlib
import json
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

from shelfcheck import data
from shelfcheck.errors import StoreError
from shelfcheck.machine import free_memory, megabytes, take_port, version_at
from shelfcheck.settings import load_settings

OK, NOTE, PROBLEM = "ok", "note", "problem"
_BROKEN = 3
_SECONDS = 5.0
"""Longest wait for a program, a database or a port. Judgement."""
_FREE_BYTES = 200 * 1024 * 1024
"""Least room on a disk: tours are small, a photo being read is not. Judgement."""
_SERVICE_BYTES, _READER_BYTES = 200 * 1024 * 1024, 150 * 1024 * 1024
"""Memory of the service, and of each reader before it has a photo. Judgement, from measurement."""
_BLANK_SIDE = 64
Settings = Mapping[str, Any]


class Finding(NamedTuple):
    """What a check found: all well, worth knowing, or a problem with what to do about it."""

    name: str
    state: str
    said: str


def doctor(given: Mapping[str, object], *, as_json: bool = False) -> int:
    """Print what each check finds; return 0, 2 when a setting cannot be used, or 3 when there is a problem.

    Args:
        given: settings by name, as ``serve`` takes them.
        as_json: whether to print JSON instead of lines.
    """
    from shelfcheck.service.logs import set_up

    try:
        settings = _usable(load_settings(given))
    except ValueError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    set_up("error")  # what is less is told by the findings
    findings = [_found(name, check, settings) for name, check in CHECKS.items()]
    if as_json:
        sys.stdout.write(json.dumps({"checks": [each._asdict() for each in findings]}, indent=2) + "\n")
    else:
        sys.stdout.writelines(f"{each.state:8} {each.name:10} {each.said}\n" for each in findings)
    return _BROKEN if any(each.state == PROBLEM for each in findings) else 0


def _usable(settings: dict[str, int | float | str]) -> Settings:
    from shelfcheck.service.networks import read_networks

    for name in ("trusted_proxies", "metrics_from"):
        read_networks(name, str(settings[name]))
    return settings


def _found(name: str, check: Callable[[Settings], tuple[str, str]], settings: Settings) -> Finding:
    try:
        return Finding(name, *check(settings))
    except Exception as error:  # noqa: BLE001 - one check that breaks must not hide the others
        return Finding(name, PROBLEM, f"This could not be looked at: {type(error).__name__}: {error}")


def check_libraries(_settings: Settings) -> tuple[str, str]:
    """Tell whether the libraries of the extra ``photos`` can be loaded."""
    from shelfcheck.reading.engines import LIBRARIES

    lacking = []
    for name in LIBRARIES:
        try:
            importlib.import_module(name)
        except ImportError:
            lacking.append(name)
    if lacking:
        advice = 'Photos are read by Tesseract, less well. Install them: pip install "shelfcheck[photos]"'
        return NOTE, f"{' and '.join(lacking)} cannot be loaded. {advice}"
    return OK, f"{' and '.join(LIBRARIES)} are here."


def check_networks(settings: Settings) -> tuple[str, str]:
    """Tell whether both networks load and run, on a blank picture."""
    if check_libraries(settings)[0] != OK:
        return NOTE, "The networks need the libraries above."
    import numpy as np

    from shelfcheck.reading.nets import MODELS, network

    try:
        for name in ("find", "strips"):
            taken = network(name).get_inputs()[0]
            height = taken.shape[2] if isinstance(taken.shape[2], int) else _BLANK_SIDE
            network(name).run(None, {taken.name: np.zeros((1, 1, height, _BLANK_SIDE), np.float32)})
    except Exception as error:  # noqa: BLE001 - onnxruntime has no error of its own to catch
        advice = "Install Shelfcheck again."
        return PROBLEM, f"The networks in {MODELS} do not run ({type(error).__name__}). {advice}"
    return OK, "Both networks run."


def check_tesseract(settings: Settings) -> tuple[str, str]:
    """Tell whether Tesseract runs and has both languages; it must, where the networks' libraries lack."""
    needed = PROBLEM if check_libraries(settings)[0] != OK else NOTE
    install = "sudo apt install tesseract-ocr tesseract-ocr-eng tesseract-ocr-spa"
    if shutil.which("tesseract") is None:
        without = "the networks read photos without it" if needed == NOTE else "no photo can be read"
        return needed, f"Tesseract is not installed; {without}. To install it: {install}"
    run = subprocess.run(
        ["tesseract", "--list-langs"], check=False, capture_output=True, text=True, timeout=_SECONDS
    )
    lacking = {"eng", "spa"} - set(run.stdout.split())
    if run.returncode or lacking:
        return needed, f"Tesseract lacks {' and '.join(sorted(lacking)) or 'its data'}. Install it: {install}"
    return OK, "Tesseract has English and Spanish."


def check_data(settings: Settings) -> tuple[str, str]:
    """Tell whether the folder of the tours' file can be written and has room."""
    file = _sqlite_file(settings)
    if file is None:
        return OK, "Tours are kept in a database of their own."
    return _folder(file.parent, "--db")


def check_temporary(_settings: Settings) -> tuple[str, str]:
    """Tell whether the temporary folder can be written and has room."""
    return _folder(Path(tempfile.gettempdir()), "TMPDIR")


def check_database(settings: Settings) -> tuple[str, str]:
    """Tell whether the database opens, takes a write and has the tables of this release."""
    from shelfcheck.tours.store import Store

    file = _sqlite_file(settings)
    if file is not None and not file.exists():
        return OK, f"{file} is made when it is first used."
    try:
        with closing(Store(str(settings["db"]), wait_seconds=_SECONDS / 2)) as store:
            newest = store.look()
    except ValueError as error:
        return PROBLEM, str(error)
    except StoreError as error:
        why = str(getattr(error.__cause__, "orig", error.__cause__)).strip().partition("\n")[0]
        return PROBLEM, f"The database does not answer ({why}). Look at --db, and at who else has it open."
    if newest:
        return OK, "The database opens and has the tables of this release."
    return (
        NOTE,
        "The database opens; its tables are not those of this release. Older ones are changed by serve.",
    )


def check_port(settings: Settings) -> tuple[str, str]:
    """Tell whether the port is free, or who answers at it."""
    host, port = str(settings["host"]), int(settings["port"])
    try:
        take_port(host, port)
    except (OSError, OverflowError) as error:
        version = version_at(host, port)
        if version:
            return NOTE, f"Shelfcheck {version} runs at {host}:{port} already."
        return PROBLEM, f"Cannot listen on {host}:{port} ({error}). Choose another with --port."
    return OK, f"{host}:{port} is free."


def check_memory(settings: Settings) -> tuple[str, str]:
    """Tell whether there is memory for as many photos as may be read at the same time."""
    free = free_memory()
    if free is None:
        return NOTE, "This system does not tell how much memory is free."
    reads, needed = int(settings["reads"]), most_memory(settings)
    told = f"{megabytes(free)} are free; {reads} photos at a time take up to {megabytes(needed)}."
    return (OK, told) if free >= needed else (PROBLEM, f"{told} Lower --reads or --max-read-bytes.")


def most_memory(settings: Settings) -> int:
    """Return the bytes that the service takes when as much as its settings let in comes at once."""
    each = _READER_BYTES + int(settings["max_read_bytes"])
    return _SERVICE_BYTES + int(settings["max_body_bytes"]) + int(settings["reads"]) * each


def check_clock(_settings: Settings) -> tuple[str, str]:
    """Tell whether the clock is behind the files of this release: tours are deleted by it."""
    now, written = time.time(), Path(data.__file__).stat().st_mtime
    told = datetime.fromtimestamp(now, UTC).strftime("It is %Y-%m-%d %H:%M UTC")
    if now < written:
        return PROBLEM, f"{told}, before Shelfcheck was installed. Set the clock; tours are kept by it."
    return OK, f"{told}."


CHECKS: dict[str, Callable[[Settings], tuple[str, str]]] = {
    "libraries": check_libraries,
    "networks": check_networks,
    "tesseract": check_tesseract,
    "data": check_data,
    "temporary": check_temporary,
    "database": check_database,
    "port": check_port,
    "memory": check_memory,
    "clock": check_clock,
}


def _sqlite_file(settings: Settings) -> Path | None:
    """Return the file of the tours; None where a database server keeps them."""
    from sqlalchemy import exc, make_url

    from shelfcheck.tours.store import default_file

    if not settings["db"]:
        return default_file()
    try:
        url = make_url(str(settings["db"]))
    except exc.ArgumentError:
        return None
    return Path(url.database) if url.get_backend_name() == "sqlite" and url.database else None


def _folder(folder: Path, setting: str) -> tuple[str, str]:
    """Tell whether files can be written in a folder, or in the one that it will be made in."""
    there = next(each for each in (folder, *folder.absolute().parents) if each.exists())
    try:
        with tempfile.TemporaryFile(dir=there):
            free = shutil.disk_usage(there).free
    except OSError as error:
        return PROBLEM, f"{there} cannot be written ({error.strerror}). Mend that, or set {setting}."
    if free < _FREE_BYTES:
        return PROBLEM, f"{there} has {megabytes(free)} left. Make room, or set {setting}."
    return OK, f"{folder} can be written; {megabytes(free)} are free."
