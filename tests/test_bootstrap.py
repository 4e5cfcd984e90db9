"""Setting up: what is missing, which commands follow, and what a person is told. No command is really run."""

import json
import os
import shutil
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from shelfcheck import bootstrap
from shelfcheck.bootstrap import Need, SetupError

APT = ["env", "DEBIAN_FRONTEND=noninteractive", "apt-get"]


@dataclass
class Recorder:
    """A runner that records commands; a command holding `failing` fails, others call `then` and pass."""

    failing: str | None = None
    then: Callable[[list[str]], object] = list
    commands: list[list[str]] = field(default_factory=list)

    def __call__(self, command: Sequence[str]) -> int:
        self.commands.append(list(command))
        if self.failing in command:
            return 1
        self.then(list(command))
        return 0


def advisories(known: list[dict[str, object]]) -> Callable[[list[str]], object]:
    """Return what writes the report of an audit of one library."""
    found = {"name": "some-library", "version": "1.0", "vulns": known}
    report = json.dumps({"dependencies": [found], "fixes": []})
    return lambda command: Path(command[command.index("--output") + 1]).write_text(report)


class Machine:
    """A machine's packages: apt-get install, seen by `install`, makes the needs that ask for them true."""

    def __init__(self, *installed: str) -> None:
        self.installed = set(installed)

    def need(self, name: str, *packages: str) -> Need:
        return Need(name, lambda: self.installed >= set(packages), packages, "it is of use")

    def install(self, command: list[str]) -> None:
        if "install" in command:
            self.installed |= set(command[command.index("--no-install-recommends") + 1 :])


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "venv"


def pretend_system(monkeypatch: pytest.MonkeyPatch, *programs: str, user: int = 1000) -> None:
    """Let only these programs be on PATH, for this user id."""
    monkeypatch.setattr(shutil, "which", lambda name: f"/usr/bin/{name}" if name in programs else None)
    monkeypatch.setattr(os, "geteuid", lambda: user)


def test_nothing_missing_runs_nothing_and_says_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    machine, run = Machine("reader"), Recorder()

    bootstrap.install_missing([machine.need("Reader", "reader")], APT, run)

    assert run.commands == []
    assert capsys.readouterr().out == ""


def test_only_what_is_missing_is_installed_after_one_update(capsys: pytest.CaptureFixture[str]) -> None:
    machine = Machine("reader")
    run = Recorder(then=machine.install)
    wanted = [machine.need(name.title(), name) for name in ("reader", "browser", "venv")]

    bootstrap.install_missing(wanted, APT, run)

    assert run.commands == [
        [*APT, "update"],
        [*APT, "install", "--yes", "--no-install-recommends", "browser", "venv"],
    ]
    assert capsys.readouterr().out.splitlines() == [
        "Missing: Browser (it is of use).",
        "Missing: Venv (it is of use).",
        "Installing browser venv with apt-get; this may take some minutes ...",
    ]


def test_a_failing_update_does_not_stop_an_install_that_works() -> None:
    machine = Machine()
    run = Recorder(failing="update", then=machine.install)

    bootstrap.install_missing([machine.need("Reader", "reader")], APT, run)

    assert machine.installed == {"reader"}


def test_a_failing_install_stops_with_the_command_to_type() -> None:
    machine = Machine()
    run = Recorder(failing="install", then=machine.install)

    with pytest.raises(SetupError, match=r"sudo apt-get install browser fonts$"):
        bootstrap.install_missing([machine.need("Browser", "browser", "fonts")], APT, run)


def test_without_a_way_to_install_nothing_is_run_and_all_that_is_needed_is_named() -> None:
    machine, run = Machine(), Recorder()
    wanted = [machine.need("Reader", "reader"), machine.need("Browser", "browser")]

    with pytest.raises(SetupError, match=r"missing: Reader, Browser\. .* install reader browser$"):
        bootstrap.install_missing(wanted, [], run)

    assert run.commands == []


@pytest.mark.parametrize(
    ("programs", "user", "expected"),
    [
        (["apt-get", "sudo"], 0, APT),
        (["apt-get", "sudo"], 1000, ["sudo", *APT]),
        (["apt-get"], 0, APT),
        (["apt-get"], 1000, []),
        (["sudo"], 0, []),
    ],
)
def test_apt_get_is_used_as_root_or_through_sudo_where_there_is_one(
    programs: list[str], user: int, expected: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    pretend_system(monkeypatch, *programs, user=user)

    assert bootstrap.apt_get() == expected


def test_running_needs_no_more_than_an_environment(folder: Path) -> None:
    assert [need.packages[0] for need in bootstrap.needs("run", folder)] == [
        f"python3.{sys.version_info.minor}-venv"
    ]


def test_testing_needs_a_browser_and_the_engine_that_photos_can_do_without(folder: Path) -> None:
    wanted = bootstrap.needs("test", folder)

    assert [need.packages[0] for need in wanted][1:] == ["tesseract-ocr", "chromium", "postgresql", "nginx"]


@pytest.mark.parametrize(("language", "found"), [("spa", True), ("fra", False)])
def test_tesseract_counts_only_with_its_spanish_data(
    language: str, *, found: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    program = tmp_path / "tesseract"
    program.write_text(f"#!/bin/sh\necho 'List of available languages:'\necho eng\necho {language}\n")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))

    assert bootstrap.has_tesseract() is found


@pytest.mark.parametrize("place", ["on PATH", "where Debian keeps it", "nowhere"])
def test_postgres_is_found_on_path_and_where_debian_keeps_it(
    place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pretend_system(monkeypatch, *(["initdb"] if place == "on PATH" else []))
    monkeypatch.setattr(bootstrap, "DEBIAN_POSTGRES", tmp_path)
    if place == "where Debian keeps it":
        (tmp_path / "15" / "bin").mkdir(parents=True)
        (tmp_path / "15" / "bin" / "initdb").touch()

    assert bootstrap.has_postgres() is (place != "nowhere")


@pytest.mark.parametrize("place", ["on PATH", "where Debian keeps it", "nowhere"])
def test_nginx_is_found_on_path_and_where_debian_keeps_it(
    place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pretend_system(monkeypatch, *(["nginx"] if place == "on PATH" else []))
    monkeypatch.setattr(bootstrap, "DEBIAN_SBIN", tmp_path)
    if place == "where Debian keeps it":
        (tmp_path / "nginx").touch()

    assert bootstrap.has_nginx() is (place != "nowhere")


def test_an_old_python_is_refused_by_its_number() -> None:
    bootstrap.check_python((3, 11))

    with pytest.raises(SetupError, match=r"This is Python 3\.10\. Start this with Python 3\.11 or newer\."):
        bootstrap.check_python((3, 10))


def test_a_virtual_environment_is_made_where_there_is_none(folder: Path) -> None:
    run = Recorder()

    bootstrap.make_venv(folder, run)

    assert run.commands == [[sys.executable, "-m", "venv", "--clear", str(folder)]]


def test_a_virtual_environment_that_works_is_kept(folder: Path) -> None:
    (folder / "bin").mkdir(parents=True)
    program = folder / "bin" / "python"
    program.write_text(f'#!/bin/sh\nexec {sys.executable} "$@"\n')
    program.chmod(0o755)
    run = Recorder()

    bootstrap.make_venv(folder, run)

    assert run.commands == []


def test_a_broken_virtual_environment_is_made_anew(folder: Path) -> None:
    (folder / "bin").mkdir(parents=True)
    (folder / "bin" / "python").symlink_to(folder / "a-python-that-went-away")
    (folder / "pyvenv.cfg").touch()
    run = Recorder()

    bootstrap.make_venv(folder, run)

    assert len(run.commands) == 1


def test_a_folder_with_other_files_is_left_alone(folder: Path) -> None:
    folder.mkdir()
    (folder / "letter.txt").touch()
    run = Recorder()

    with pytest.raises(SetupError, match="holds something else"):
        bootstrap.make_venv(folder, run)

    assert run.commands == []


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A checkout of its own, so that its files may change."""
    for name in ("pyproject.toml", ".constraints.txt"):
        shutil.copy(bootstrap.ROOT / name, tmp_path / name)
    monkeypatch.setattr(bootstrap, "ROOT", tmp_path)
    return tmp_path


def installs(folder: Path, purpose: str, failing: str | None = None) -> list[list[str]]:
    """Install for a purpose; return the commands that this took."""
    folder.mkdir(exist_ok=True)
    run = Recorder(failing=failing)
    bootstrap.install_package(folder, purpose, run)
    return run.commands


def test_pip_installs_pinned_versions_once(root: Path, folder: Path) -> None:
    pip = [str(folder / "bin" / "python"), "-m", "pip", "install", "--quiet"]

    assert installs(folder, "run") == [
        [*pip, "--constraint", str(root / ".constraints.txt"), "--editable", f"{root}[photos]"],
        [pip[0], "-m", "compileall", "-q", str(root / "shelfcheck")],
    ]
    assert installs(folder, "run") == []


def test_testing_installs_its_tools_even_after_running_was_set_up(root: Path, folder: Path) -> None:
    installs(folder, "run")

    assert installs(folder, "test")[0][-1] == f"{root}[photos,dev]"


@pytest.mark.parametrize("name", ["pyproject.toml", ".constraints.txt"])
def test_a_changed_list_of_libraries_is_installed_again(name: str, root: Path, folder: Path) -> None:
    installs(folder, "test")
    (root / name).write_text((root / name).read_text() + "\n")

    assert "pip" in installs(folder, "test")[0]


def test_an_installation_that_failed_is_tried_again(root: Path, folder: Path) -> None:
    with pytest.raises(SetupError, match="pip could not install"):
        installs(folder, "run", failing=f"{root}[photos]")

    assert "pip" in installs(folder, "run")[0]


def test_quiet_shows_output_only_of_a_command_that_fails(capfd: pytest.CaptureFixture[str]) -> None:
    program = [sys.executable, "-c"]

    assert bootstrap.quiet([*program, "print('all is well')"]) == 0
    assert capfd.readouterr().out == ""
    assert bootstrap.quiet([*program, "print('no such host'); raise SystemExit(3)"]) == 3
    assert "no such host" in capfd.readouterr().out


def test_shown_prints_the_command_and_returns_its_status(capfd: pytest.CaptureFixture[str]) -> None:
    assert bootstrap.shown([sys.executable, "-c", "print(6 * 7); raise SystemExit(4)"]) == 4

    command, answer = capfd.readouterr().out.splitlines()
    assert command.startswith("$ ")
    assert answer == "42"


def test_the_sample_is_a_photograph_and_part_of_the_project(folder: Path) -> None:
    run = Recorder()

    assert bootstrap.run_app(folder, [], serve=False, run=run) == 0

    [[_, command, sample, amount]] = run.commands
    assert (command, amount) == ("eat", "2 fists")
    assert sample.endswith(".png")
    assert (bootstrap.ROOT / sample).is_file()


def test_serving_takes_this_process_over_with_the_options_handed_on(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    started: list[list[str]] = []
    monkeypatch.setattr(os, "execv", lambda _, command: started.append(command))

    bootstrap.run_app(folder, ["--port", "8080"], serve=True, run=Recorder())

    assert started == [[str(folder / "bin" / "shelfcheck"), "serve", "--port", "8080"]]


def test_a_sample_that_fails_is_not_served_over(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "execv", lambda *_: pytest.fail("served all the same"))

    assert bootstrap.run_app(folder, [], serve=True, run=Recorder(failing="eat")) == 1


def test_checking_goes_on_to_the_tests_and_fails_when_the_linter_does(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run = Recorder(failing="ruff")

    assert bootstrap.check(folder, ["-k", "rules"], run, Recorder(then=advisories([]))) == 1

    assert [command[2:] for command in run.commands] == [
        ["ruff", "check"],
        ["ruff", "format", "--check"],
        ["mypy"],
        ["pytest", "-n", "auto", "--dist", "loadfile", "-k", "rules"],
    ]
    assert capsys.readouterr().out.splitlines() == [
        "Audited: 1 libraries, 0 vulnerable.",
        "Failed: ruff check",
        "Failed: ruff format --check",
    ]


def test_checking_that_passes_prints_nothing_after_the_tests(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run, ask = Recorder(), Recorder(then=advisories([]))

    assert bootstrap.check(folder, [], run, ask) == 0
    assert capsys.readouterr().out == "Audited: 1 libraries, 0 vulnerable.\n"
    assert ask.commands[0][:3] == [str(folder / "bin" / "python"), "-m", "pip_audit"]


def test_a_known_vulnerability_fails_the_check_and_the_tests_run_all_the_same(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    known = [{"id": "X-2030-1", "fix_versions": ["1.1"], "aliases": []}]
    run = Recorder()

    assert bootstrap.check(folder, [], run, Recorder(then=advisories(known))) == 1
    assert capsys.readouterr().out.splitlines() == [
        "VULNERABLE: some-library 1.0 (X-2030-1); take 1.1.",
        "Audited: 1 libraries, 1 vulnerable.",
        "Failed: pip_audit",
    ]
    assert len(run.commands) == 4


def test_without_a_network_the_check_says_that_nothing_was_audited_and_passes(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert bootstrap.check(folder, [], Recorder(), Recorder(failing="pip_audit")) == 0
    assert capsys.readouterr().out.startswith("NOT audited: the list")


@pytest.mark.parametrize(
    ("arguments", "purpose", "handed_on"),
    [
        (["test", "-k", "rules", "-x"], "test", ["-k", "rules", "-x"]),
        (["run", "--no-serve"], "run", []),
        (["run", "--host", "0.0.0.0", "--port", "80"], "run", ["--host", "0.0.0.0", "--port", "80"]),
    ],
)
def test_options_that_are_not_ours_are_handed_on(
    arguments: list[str], purpose: str, handed_on: list[str]
) -> None:
    options, rest = bootstrap.parse(arguments)

    assert (options.purpose, rest) == (purpose, handed_on)


@pytest.mark.parametrize(
    ("error", "status", "words"),
    [(SetupError("Do this next."), 2, "Do this next."), (KeyboardInterrupt(), 130, "Stopped.")],
)
def test_main_ends_with_a_sentence_and_a_status(
    error: BaseException,
    status: int,
    words: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def stop() -> None:
        raise error

    monkeypatch.setattr(bootstrap, "check_python", stop)
    monkeypatch.setattr(os, "environ", dict(os.environ))
    monkeypatch.chdir(bootstrap.ROOT)

    assert bootstrap.main(["test"]) == status

    printed = capsys.readouterr()
    assert words in printed.out + printed.err
