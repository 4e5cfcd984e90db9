"""Modules, styles and facts joined into one file each: they do what the many did."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

import pytest

from shelfcheck.service import joined
from tests.making import ROOT
from tests.vectors.node import node

WEB, FACTS = ROOT / "web", ROOT / "shelfcheck" / "data"


def page(folder: Path, **modules: str) -> Path:
    """Return a page of modules, ``app`` the entry; two underscores in a name stand for a folder."""
    for name, text in modules.items():
        path = folder / "modules" / f"{name.replace('__', '/')}.js"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def run(folder: Path) -> str:
    """Return what the joined script prints."""
    (folder / "package.json").write_text('{"type": "module"}', encoding="utf-8")
    for url, text in joined.scripts(folder).items():
        (folder / url).write_text(text, encoding="utf-8")
    return subprocess.run(
        [node(), str(folder / joined.ENTRY)], capture_output=True, encoding="utf-8", check=True, timeout=30
    ).stdout.strip()


def test_each_form_of_import_and_export_gives_what_it_names(tmp_path: Path) -> None:
    folder = page(
        tmp_path,
        app="""import read from "./deep/parser.js";
import { Box, later as soon, sum } from "./deep/things.js";
console.log([await soon(), sum(2, 3), new Box().held, read("a,b").length].join(" "));
""",
        deep__things="""import { ten } from "../numbers.js";
/** import { nothing } from "./nowhere.js"; in a comment is no import. */
export const sum = (one, other) => one + other + ten;
export async function later() {
  return "later";
}
export class Box {
  held = ten;
}
""",
        deep__parser="""export default function (text) {
  return text.split(",");
}
""",
        numbers="""const ten = 10, eleven = 11;
export { ten, eleven };
""",
    )

    assert run(folder) == "later 15 10 2"


def test_a_module_that_two_need_runs_once(tmp_path: Path) -> None:
    folder = page(
        tmp_path,
        app="""import { a } from "./a.js";
import { b } from "./b.js";
console.log(a, b);
""",
        a="""import { count } from "./shared.js";
export const a = count();
""",
        b="""import { count } from "./shared.js";
export const b = count();
""",
        shared="""console.log("once");
let counted = 0;
export function count() {
  counted += 1;
  return counted;
}
""",
    )

    assert run(folder).split() == ["once", "1", "2"]


def test_what_is_imported_later_may_import_what_imports_it(tmp_path: Path) -> None:
    folder = page(
        tmp_path,
        app="""import { open } from "./tabs.js";
open.deep().then(({ told }) => console.log(told()));
""",
        tabs="""export const open = { deep: () => import("./deep/tab.js") };
export const name = "tabs";
""",
        deep__tab="""import { name } from "../tabs.js";
export function told() {
  return `told ${name}`;
}
""",
    )

    assert run(folder) == "told tabs"


def test_rooms_share_what_both_need_and_none_waits_for_another(tmp_path: Path) -> None:
    shared = 'console.log("once");\nexport const named = (name) => `room ${name}`;\n'
    room = """import { named } from "../shared.js";
import { own } from "./own.js";
export const told = named(own);
"""
    folder = page(
        tmp_path,
        app="""const [one, other] = [() => import("./privacy/room.js"), () => import("./tour/room.js")];
const say = ({ told }) => console.log(told);
one().then(say).then(other).then(say);
""",
        shared=shared,
        tour__room=room,
        tour__own='export const own = "tour";\n',
        privacy__room=room,
        privacy__own='export const own = "privacy";\n',
    )

    assert run(folder).splitlines() == ["once", "room privacy", "room tour"]
    scripts = joined.scripts(folder)
    for one in joined.ROOMS:
        others = [room.name for room in joined.ROOMS if room != one]
        assert not any(f"./{name}.js" in scripts[one.script] for name in others)


def test_a_room_has_its_own_sentences_and_no_others() -> None:
    settings = {"tour_days": 7}
    files = {room.name: json.loads(joined.room_data(FACTS, room, settings)) for room in joined.ROOMS}

    assert files["tours"]["settings"] == {}
    assert files["privacy"]["settings"] == {"tourDays": 7}
    for room in joined.ROOMS:
        for words in files[room.name]["words"].values():
            assert words
            assert all(key.startswith(room.words) for key in words)
    common = json.loads(joined.facts(FACTS))["words"]["en"]
    assert not any(key.startswith(tuple(room.words for room in joined.ROOMS)) for key in common)


@pytest.mark.parametrize(
    ("module", "said"),
    [
        ('import { app } from "./app.js";\nexport const b = 1;\n', "modules/app.js -> modules/b.js"),
        ('export * from "./c.js";\n', "modules/b.js: 'export"),
        ('import "./c.js";\n', "modules/b.js: 'import"),
    ],
)
def test_what_cannot_be_joined_is_named(tmp_path: Path, module: str, said: str) -> None:
    folder = page(tmp_path, app='import { b } from "./b.js";\nexport const app = 1;\n', b=module)

    with pytest.raises(ValueError, match=said):
        joined.scripts(folder)


def test_every_module_of_the_page_is_joined() -> None:
    """A module that nothing imports would lie in the folder and never run."""
    needed, waiting = set(), [WEB / joined.ENTRY]
    while waiting:
        needed.add(path := waiting.pop())
        waiting += named_in(path) - needed

    assert needed == {*WEB.glob("modules/**/*.js"), *WEB.glob("vendor/*.js")}


def named_in(path: Path) -> set[Path]:
    """Return the files that a module imports, at once or later."""
    text = path.read_text(encoding="utf-8")
    found = [*joined._IMPORT.finditer(text), *joined._LAZY.finditer(text)]
    return {(path.parent / one["path"]).resolve() for one in found}


def test_styles_keep_their_order(tmp_path: Path) -> None:
    written = {"styles": '@import "b.css";\n@import "a.css";\n', "a": "b { top: 1px }", "b": "i { top: 2px }"}
    for name, text in written.items():
        (tmp_path / f"{name}.css").write_text(text, encoding="utf-8")

    assert joined.styles(tmp_path) == "i{top:2px}b{top:1px}"


def test_the_facts_are_the_data_files_without_their_sources() -> None:
    facts = json.loads(joined.facts(FACTS))

    assert facts["words"]["es"].keys() > {"page.tagline"}
    assert facts["measures"]["label_cup_ml"] == 240
    assert facts["dietRules"]["cautions"] == load("diet_rules")["cautions"]
    assert set(keys(facts)).isdisjoint({"source", "sources", "about", "cautions_source"})
    assert len(set(keys(facts))) > 500


def load(name: str) -> Any:
    return json.loads((FACTS / f"{name}.json").read_text(encoding="utf-8"))


def keys(value: Any) -> list[str]:
    if isinstance(value, dict):
        return [*value, *(key for inner in value.values() for key in keys(inner))]
    return [key for inner in value for key in keys(inner)] if isinstance(value, list) else []
