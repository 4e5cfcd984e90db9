"""The page's modules as one script, its style sheets as one, its facts as one: few requests, small answers.

A phone with a weak signal pays for each request. So the service answers the page's entry files with all that
they import, and without the comments and long names that only readers of the code need. ``web/`` itself holds
the plain files, each of which imports the others by name.
"""

from __future__ import annotations

import json
import posixpath
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

import minify

ENTRY, LATER, STYLES, FACTS = "modules/app.js", "modules/later.js", "styles.css", "data/facts.json"
"""The URLs of what is joined; ``LATER`` holds the modules that the page imports only when it needs them."""
TABLES = ("label_rules", "measures", "foods", "diet_rules", "amount_words")
"""The data files that the page reckons with; the others serve the reading of photos alone."""
LANGUAGES = ("en", "es")


class Room(NamedTuple):
    """A part of the app that few visitors come for, so that the others need not wait for it.

    ``modules`` is the folder of its modules, ``words`` the beginning of the keys of its sentences, ``tells``
    the settings of the service that it names.
    """

    name: str
    modules: str
    words: str
    tells: tuple[str, ...] = ()

    @property
    def script(self) -> str:
        """The URL of its modules as one script."""
        return f"modules/{self.name}.js"

    @property
    def styles(self) -> str:
        """The URL of its style sheet."""
        return f"{self.name}.css"

    @property
    def data(self) -> str:
        """The URL of its sentences, and of what it tells of the settings."""
        return f"data/{self.name}.json"


ROOMS = (
    Room("tours", "modules/tour/", "page.tour."),
    Room("privacy", "modules/privacy/", "page.privacy.", ("tour_days",)),
)
"""Each is fetched when it is first opened, and kept on the phone from then on."""
TOLD = tuple(name for room in ROOMS for name in room.tells)
"""The settings of the service that the page tells."""

_IMPORT = re.compile(
    r'^import\s+(?:(?P<default>\w+)|\{(?P<names>[^}]*)\})\s*from\s*"(?P<path>[^"]+)";$', re.MULTILINE
)
_LAZY = re.compile(r'(?<=\(\) => )import\("(?P<path>[^"]+)"\)')
_EXPORT = re.compile(r"^export (?P<kept>(?:async )?(?:function\*?|class|const) (?P<name>\w+))", re.MULTILINE)
_DEFAULT = re.compile(r"^export default ", re.MULTILINE)
_LIST = re.compile(r"^export \{(?P<names>[^}]*)\};$", re.MULTILINE)
_STYLE_IMPORT = re.compile(r'^@import "(?P<path>[^"]+)";$', re.MULTILINE)
_FOR_READERS = re.compile(r"about|note|(.*_)?sources?")
"""Keys of the data files that say where a value is from."""
_FOR_OTHERS = re.compile(
    r"(explain|report|text)\..*|fault\.(not_a_day|not_a_text|pair|phone|stop_.*|unknown_field|yes_or_no)"
    r"|error\.(amount_unread|bad_json|busy|compare|dead_link|explain|http|no_file|no_panel|no_stop|no_tour"
    r"|not_open|not_saved|guess|photo|reader|stop_closed|stop_shown|too_many|tour|unexpected).*"
)
"""Keys of sentences that only the terminal and the service say."""


def scripts(web: Path) -> dict[str, str]:
    """Return ``ENTRY`` with every module that it needs, ``LATER`` and each room's script, by URL.

    Raises:
        ValueError: when modules import each other in a circle, or in a form that is not known here.
    """
    joined = _Joined(web)
    whole = {bundle: joined.bundle(bundle) for bundle in (ENTRY, LATER, *(room.script for room in ROOMS))}
    return {url: _minified("text/javascript", text) for url, text in whole.items()}


def worker(web: Path) -> str:
    """Return the service worker, which takes no part of the other scripts."""
    return _minified("text/javascript", _read(web, "sw.js"))


def styles(web: Path, name: str = STYLES) -> str:
    """Return the style sheet with those that it imports in their places."""
    whole = _STYLE_IMPORT.sub(lambda found: _read(web, found["path"]), _read(web, name))
    return _minified("text/css", whole)


def drawings(web: Path, name: str) -> str:
    """Return a file of drawings."""
    return _minified("image/svg+xml", _read(web, name))


def manifest(web: Path) -> str:
    """Return what tells a phone how to install the app."""
    return _minified("application/json", _read(web, "manifest.webmanifest"))


def facts(folder: Path) -> str:
    """Return the data files of the page as one object, without what is for readers of the files."""
    tables = {_camel(name): _told(_load(folder / f"{name}.json")) for name in TABLES}
    return _compact({**tables, "words": _said(folder, None)})


def room_data(folder: Path, room: Room, settings: Mapping[str, object]) -> str:
    """Return what the page needs only in ``room``: its sentences by language, and the settings it tells."""
    told = {_camel(name): settings[name] for name in room.tells}
    return _compact({"words": _said(folder, room), "settings": told})


@dataclass(slots=True)
class _Joined:
    """Modules put in order: ``parts`` holds each as ``const m2 = (() => { ... return { exports }; })();``.

    ``lazy`` tells what is imported later, by the script that it goes into; ``given`` the variables that each
    script gives to those after it.
    """

    web: Path
    parts: list[str] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)
    lazy: dict[str, list[str]] = field(default_factory=dict)
    given: dict[str, list[str]] = field(default_factory=dict)
    open: list[str] = field(default_factory=list)

    def text_of(self, url: str) -> str:
        """Return a module's own text, its imports and exports rewritten, once what it needs is in place."""
        self.open.append(url)
        text = _LAZY.sub(lambda found: self.promised(url, found), _read(self.web, url))
        text = _IMPORT.sub(lambda found: self.bound(url, found), text)
        exports = [found["name"] for found in _EXPORT.finditer(text)]
        exports += [name.strip() for found in _LIST.finditer(text) for name in found["names"].split(",")]
        text = _LIST.sub("", _EXPORT.sub(lambda found: found["kept"], text))
        if _DEFAULT.search(text):
            text, exports = _DEFAULT.sub("const _default = ", text), [*exports, "default: _default"]
        unknown = re.search(r"^(import|export)\b.*", text, re.MULTILINE)
        if unknown:
            raise ValueError(f"{url}: {unknown[0]!r} is no import or export of a form that is known here")
        self.open.pop()
        return f"{text}\n;return {{ {', '.join(exports)} }};" if url != ENTRY else text

    def put(self, url: str) -> str:
        """Put a module in place, and return the variable that holds what it gives."""
        if url in self.open:
            raise ValueError(f"modules import each other: {' -> '.join((*self.open, url))}")
        if url not in self.names:
            text = self.text_of(url)
            self.names[url] = f"m{len(self.names)}"
            self.parts.append(f"const {self.names[url]} = (() => {{ {text} }})();\n")
        return self.names[url]

    def promised(self, url: str, found: re.Match[str]) -> str:
        """Return the expression that stands for an import of what is needed later."""
        other = _resolved(url, found)
        bundle = next((room.script for room in ROOMS if other.startswith(room.modules)), LATER)
        self.lazy.setdefault(bundle, []).append(other)
        return f'import("./{posixpath.basename(bundle)}").then(({{ later }}) => later["{other}"])'

    def bundle(self, url: str) -> str:
        """Return the script at ``url``: its own modules, and imports of what earlier scripts give."""
        known, self.parts = set(self.names), []
        before = [
            f'import {{ {", ".join(names)} }} from "./{posixpath.basename(one)}";\n'
            for one, names in self.given.items()
            if names and one in (ENTRY, LATER)  # no room waits for another
        ]
        if url == ENTRY:
            # It stands outside a function of its own: what comes later takes its parts from it.
            end = self.text_of(url)
        else:
            for module in self.lazy.get(url, []):  # which grows meanwhile
                self.put(module)
            for module in self.shared() if url == LATER else ():
                self.put(module)
            lazy = (f'"{module}": {self.names[module]}' for module in self.lazy.get(url, []))
            end = f"export const later = {{ {', '.join(lazy)} }};\n"
        self.given[url] = [name for module, name in self.names.items() if module not in known]
        given = f"export {{ {', '.join(self.given[url])} }};\n" if self.given[url] else ""
        return "".join((*before, *self.parts, end, given))

    def shared(self) -> Iterator[str]:
        """Yield what the rooms need of modules outside them, of which another room may have need as well."""
        for room in ROOMS:
            waiting = list(self.lazy.get(room.script, []))
            for module in waiting:  # which grows meanwhile
                needed = {_resolved(module, found) for found in _IMPORT.finditer(_read(self.web, module))}
                own = {other for other in needed if other.startswith(room.modules)}
                waiting += sorted(own.difference(waiting))
                yield from sorted(needed - own)

    def bound(self, url: str, found: re.Match[str]) -> str:
        """Return the statement that stands for an import."""
        names = f"default: {found['default']}" if found["default"] else found["names"].replace(" as ", ": ")
        return f"const {{ {names} }} = {self.put(_resolved(url, found))};"


def _resolved(url: str, found: re.Match[str]) -> str:
    return posixpath.normpath(posixpath.join(posixpath.dirname(url), found["path"]))


def _told(value: Any) -> Any:
    """Leave out of a table what says where its values are from."""
    if isinstance(value, dict):
        return {key: _told(inner) for key, inner in value.items() if not _FOR_READERS.fullmatch(key)}
    return [_told(inner) for inner in value] if isinstance(value, list) else value


def _said(folder: Path, room: Room | None) -> dict[str, dict[str, Any]]:
    """Return the sentences that the page says in ``room``, or in none of the rooms, by language."""
    rooms = tuple(one.words for one in ROOMS)

    def belongs(key: str) -> bool:
        return key.startswith(room.words) if room else not key.startswith(rooms)

    words = {lang: _told(_load(folder / "words" / f"{lang}.json")) for lang in LANGUAGES}
    return {
        lang: {key: text for key, text in said.items() if belongs(key) and not _FOR_OTHERS.fullmatch(key)}
        for lang, said in words.items()
    }


def _compact(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _camel(name: str) -> str:
    first, *others = name.split("_")
    return first + "".join(map(str.capitalize, others))


def _minified(kind: str, text: str) -> str:
    return str(minify.string(kind, text))


def _read(web: Path, url: str) -> str:
    return (web / url).read_text(encoding="utf-8")


def _load(path: Path) -> Any:
    return json.loads(path.read_text(encoding="utf-8"))
