"""Panels drawn on a page: with a row for each nutrient in one or more columns, or as running text."""

from __future__ import annotations

from collections.abc import Sequence

from corpus import EN, ES, FOOT, Run
from sheet import Sheet, Style

_TITLES = (
    "Nutrition Facts",
    "Nutrition Facts",
    "Nutrition Facts",
    "Datos de Nutrición",
    "Nutrition Facts / Datos de Nutrición",
    "NUTRITION FACTS",
    "Nutrition\nFacts",
)
_ROWS = (
    "fat",
    "saturated_fat",
    "trans_fat",
    "poly",
    "mono",
    "cholesterol",
    "sodium",
    "carbohydrate",
    "fiber",
    "sugars",
    "added",
    "alcohol",
    "protein",
)
_VITAMINS = ("vitamin_d", "calcium", "iron", "potassium", "vitamin_a", "vitamin_c")
_SELDOM = frozenset({"poly", "mono", "alcohol"})
_MAIN = frozenset({"fat", "cholesterol", "sodium", "carbohydrate", "protein"})
_TALLEST = 2200


class PanelBlock:
    """One panel from ``y`` down, ``wide`` pixels wide."""

    def __init__(self, page: Sheet, x: float, y: float, wide: float) -> None:
        r = page.r
        self.page, self.r, self.corpus = page, r, page.corpus
        self.x, self.wide, self.top, self.y = x, wide, y, y
        self.size = r.randint(17, 26)
        self.dark = r.random() < 0.12
        if self.dark:
            paper, ink = r.randint(0, 70), r.randint(200, 255)
        else:
            paper = r.randint(215, 255) if r.random() < 0.8 else r.randint(130, 215)
            ink = r.randint(0, 60) if r.random() < 0.85 else r.randint(60, 110)
        self.paper, self.ink = (250, 10) if abs(paper - ink) < 90 else (paper, ink)
        self.pad = r.randint(5, 14)
        self.left, self.right = x + self.pad, x + wide - self.pad
        self.leading, self.columns, self.line, self.indent, self.column = 1.2, 1, 1, 10, 50.0

    def draw(self) -> float:
        """Draw the panel; return where the next block may begin."""
        r, page, start = self.r, self.page, len(self.page.pieces)
        kind = r.choices(["rows", "linear", "tabular"], [8, 1.2, 1.6])[0]
        # Paper first: a generous patch, cut to its height afterwards.
        patch = self.top + int(min(page.high - self.top - 4, _TALLEST))
        page.draw.rectangle((self.x, self.top, self.x + self.wide, patch), fill=self.paper)
        self.y += self.pad
        spanish = r.random() < 0.2
        title = r.choice(_TITLES)
        self.leading = r.uniform(1.12, 1.45)
        if kind == "linear":
            self._linear(title)
        else:
            self._table(title, kind, ES if spanish else EN)
        bottom = min(self.y + self.pad, page.high - 2)
        if patch > bottom:
            page.draw.rectangle((self.x, bottom, self.x + self.wide, patch), fill=page.paper)
        if r.random() < 0.75:
            frame = (self.x, self.top, self.x + self.wide, bottom)
            outline = self.paper if self.dark else self.ink
            page.draw.rectangle(frame, outline=outline, width=r.choice([1, 2, 2, 3, 4]))
        page.pieces[start:] = [piece for piece in page.pieces[start:] if piece[3] < bottom]
        page.panels.append((self.x, self.top, self.x + self.wide, bottom))
        return bottom + r.randint(8, 60)

    def _linear(self, title: str) -> None:
        r, own = self.r, self.corpus
        runs: list[Run] = []
        for _ in range(r.randint(8, 16)):
            runs += [(text, "b" if kind == "b" else "r") for text, kind in own.nutrient()]
            runs.append((f" {own.pct()}, ", "r"))
        head = [
            (title.replace("\n", " "), "k"),
            (f" Servings: {r.randint(1, 20)}, ", "r"),
            (f"Serv. size: {own.household()} ({own.metric()}),", "r"),
            ("Amount per serving:", "r"),
            ("Calories", "b"),
            (f"{own.kcal()},", "b"),
        ]
        style = Style(self.size, self.ink, self.leading)
        self.y = self.page.wrapped(self.left, self.y, self.right - self.left, [*head, *runs], style)

    def _table(self, title: str, kind: str, names: dict[str, list[str]]) -> None:
        r = self.r
        if kind == "rows" or r.random() < 0.5:
            self._title(title)
        self.columns = 1 if kind == "rows" and r.random() < 0.72 else r.choice([2, 2, 3])
        self.line, self.indent = r.choice([1, 1, 1, 2, 0]), r.randint(10, 26)
        self.column = (self.right - self.left) * r.uniform(0.16, 0.24)
        fenced = r.random() < (0.55 if self.columns > 1 else 0.2)
        self._servings()
        self._calories()
        self._row([("", "r")], [[(r.choice(["% Daily Value*", "% DV*", "% Valor Diario*"]), "b")]], 0.85)
        start = self.y
        for key in _ROWS:
            if key not in _SELDOM or r.random() >= 0.75:
                self._nutrient(key, names)
        if fenced:
            self._fence(start)
        self._rule([6, 8, 10, 2])
        self.y += r.choice([3, 8])
        self._vitamins(names)
        if r.random() < 0.8:
            self._rule([4, 6, 1])
            foot = [(r.choice(FOOT), "r")]
            style = Style(int(self.size * r.uniform(0.62, 0.85)), self.ink, r.uniform(1.08, 1.3))
            self.y = self.page.wrapped(self.left, self.y, self.right - self.left, foot, style)

    def _title(self, title: str) -> None:
        r, page = self.r, self.page
        for part in title.split("\n"):
            usual = max(page.width([(part, "k")], 40), 1)
            big = int(min(40 * (self.right - self.left) / usual * r.uniform(0.85, 1), 95))
            self.y += big * 0.86
            page.text(self.left, self.y, [(part, "k")], Style(max(big, self.size), self.ink))
            self.y += big * 0.24
        self._rule([1, 1, 2, 0])

    def _servings(self) -> None:
        r, own = self.r, self.corpus
        self._row([(text, "r") for text, _ in own.servings()], [], r.uniform(1, 1.15))
        kind = r.choice("bbr")
        name = r.choice(["Serving size", "Serving Size", "Tamaño por porción", "Serv. size:"])
        said = [[(f"{own.household()} ({own.metric()})", kind)]] if r.random() < 0.8 else []
        self._row([(name, kind)], said, r.uniform(1, 1.15))
        self._rule([6, 8, 10, 14, 2])
        self.y += r.choice([2, 8, 12])
        if r.random() < 0.7:
            head = r.choice(["Amount per serving", "Amount Per Serving", "Cantidad por porción"])
            self._row([(head, r.choice("br"))], [], 0.85)

    def _calories(self) -> None:
        r, page = self.r, self.page
        big = int(self.size * r.uniform(1.3, 2.6))
        self.y += big * 0.8
        name = [(r.choice(["Calories", "Calorías", "Calories", "CALORIES"]), "k")]
        end = page.text(self.left, self.y, name, Style(int(big * r.uniform(0.7, 1)), self.ink))
        edge = self.right
        for _ in range(self.columns):
            value = [(self.corpus.kcal(), "k")]
            if edge - page.width(value, big) > end + self.size * 0.7:
                page.text(edge, self.y, value, Style(big, self.ink), right=True)
            edge -= self.column * 1.3
        self.y += big * 0.25
        self._rule([3, 4, 6, 1])
        self.y += r.choice([2, 5])

    def _nutrient(self, key: str, names: dict[str, list[str]]) -> None:
        r, own = self.r, self.corpus
        self._rule([self.line], choose=False)
        self.y += r.choice([0, 1, 3])
        indent = 0 if key in _MAIN else self.indent * (2 if key == "added" else 1)
        amount = own.value(key)
        if key == "added":
            left = [(f"Includes {amount} Added Sugars", "r")]
        else:
            name = r.choice(names.get(key, EN[key]))
            if r.random() < 0.15 and key in ES:
                name = f"{r.choice(EN[key])}/{r.choice(ES[key])}"
            left = [(name, "r" if indent else "b"), (f" {amount}", "r")]
        cells: list[list[Run]] = [[(own.pct(), r.choice("bbr"))] for _ in range(self.columns)]
        if self.columns > 1 and r.random() < 0.5:
            left = left[:1]
            pairs = [([(own.value(key), "r")], [(own.pct(), "b")]) for _ in range(self.columns)]
            cells = [cell for pair in pairs for cell in pair][: r.choice([2, 4])]
        self._row(left, cells if r.random() < 0.93 else [], indent=indent)

    def _vitamins(self, names: dict[str, list[str]]) -> None:
        r, own, page = self.r, self.corpus, self.page
        paired = r.random() < 0.25
        style = Style(int(self.size * 0.95), self.ink)
        for key in _VITAMINS[: r.randint(2, 6)]:
            if paired:
                self.y += style.size * self.leading * 0.8
                first = f"{r.choice(EN[key])} {own.value(key)} {own.pct()}"
                page.text(self.left, self.y, [(first, "r")], style)
                second = f"{r.choice(['• ', ''])}{r.choice(EN['zinc'])} {own.pct()}"
                page.text((self.left + self.right) / 2 + 8, self.y, [(second, "r")], style)
                self.y += style.size * 0.34
            else:
                name = f"{r.choice(names.get(key, EN[key]))} {own.value(key)}"
                self._row([(name, "r")], [[(own.pct(), "r")]], 0.95)
            self._rule([self.line], choose=False)

    def _row(
        self, left: Sequence[Run], cells: Sequence[Sequence[Run]], share: float = 1, indent: int = 0
    ) -> None:
        """Set a row, its cells against the right edge where there is room; ``share`` of the usual size."""
        page, style = self.page, Style(int(self.size * share), self.ink)
        self.y += style.size * self.leading * 0.82
        end = page.text(self.left + indent, self.y, left, style)
        edge = self.right
        for cell in reversed(cells):
            if edge - page.width(cell, style.size) > end + style.size * 0.6:
                page.text(edge, self.y, cell, style, right=True)
                edge -= self.column
        self.y += style.size * self.leading * 0.30

    def _fence(self, top: float) -> None:
        """Draw upright lines between the columns."""
        r = self.r
        for column in range(self.columns):
            aside = r.uniform(0.25, 0.5) if self.columns > 1 else 0.2
            at = self.right - self.column * (column + 1) + self.size * aside
            self.page.draw.line((at, top, at, self.y), fill=self.ink, width=r.choice([1, 1, 2]))

    def _rule(self, thick: Sequence[int], *, choose: bool = True) -> None:
        self.page.rule(self.left, self.right, self.y, self.r.choice(thick) if choose else thick[0], self.ink)
