"""Lines of print as labels carry them: what the recogniser learns to read, as styled runs of text."""

from __future__ import annotations

import json
import random

from charset import CHARS, HERE

Run = tuple[str, str]
"""Text and its face: "r" plain, "b" bold, "i" italic."""

_TABLES = json.loads((HERE / "corpus.json").read_text(encoding="utf-8"))
EN: dict[str, list[str]] = _TABLES["names"]["en"]
ES: dict[str, list[str]] = _TABLES["names"]["es"]
UNIT: dict[str, str] = _TABLES["units"]
BOLD = frozenset(_TABLES["bold"])
NOUNS: list[str] = _TABLES["nouns"]
WORDS: list[str] = _TABLES["words"]
FOOT: list[str] = _TABLES["foot"]
HEADS: list[str] = _TABLES["heads"]
FRACTION: dict[str, str] = _TABLES["fractions"]
"""As "1/2" to its sign."""
_CAPITALS = 0.05
"""The share of lines that are set in capitals."""


class Corpus:
    """Draws one line at a time from a seeded generator."""

    def __init__(self, seed: int) -> None:
        self.r = random.Random(seed)

    def line(self) -> list[Run]:
        """Return a line as runs of text with their faces, 1 to about 44 characters in all."""
        kinds = (
            self.nutrient,
            self.nutrient_percent,
            self.percent,
            self.percents,
            self.serving,
            self.servings,
            self.calories,
            self.head,
            self.added,
            self.linear,
            self.bilingual,
            self.columns,
            self.foot,
            self.words,
            self.amount,
            self.number,
            self.net,
            self.noise,
            self.old,
        )
        weights = (22, 12, 9, 2, 17, 6, 6, 6, 5, 7, 5, 5, 4, 4, 7, 3, 2, 3, 3)
        runs = self.r.choices(kinds, weights)[0]()
        if self.r.random() < _CAPITALS:
            runs = [(text.upper(), face) for text, face in runs]
        runs = [("".join(c for c in text if c in CHARS), face) for text, face in runs if text]
        total = sum(len(text) for text, _ in runs)
        return runs if 0 < total <= 46 else self.line()

    def value(self, key: str = "") -> str:
        """Return an amount with its unit."""
        r = self.r
        unit = UNIT.get(key, "g")
        x = r.random()
        if unit == "g":
            n = (
                "0"
                if x < 0.2
                else str(r.randint(1, 9))
                if x < 0.5
                else str(r.randint(10, 99))
                if x < 0.8
                else f"{r.randint(0, 9)}.{r.choice('5555502468')}"
                if x < 0.95
                else str(r.randint(100, 240))
            )
        elif unit == "mg":
            n = (
                "0"
                if x < 0.15
                else str(r.randint(1, 27) * 5)
                if x < 0.5
                else str(r.randint(14, 99) * 10)
                if x < 0.75
                else f"{r.randint(0, 19)}.{r.randint(1, 9)}"
                if x < 0.85
                else str(r.randint(1, 990))
                if x < 0.93
                else f"{r.randint(1, 4)},{r.randint(0, 99):02d}0"
            )
        else:
            n = (
                "0"
                if x < 0.4
                else str(r.randint(1, 20))
                if x < 0.8
                else f"{r.randint(0, 9)}.{r.randint(1, 9)}"
            )
        if r.random() < 0.03:
            return r.choice(
                [
                    "less than 1g",
                    "<1g",
                    "Less than 5mg",
                    "<5mg",
                    "less than 1 g",
                    "< 1 g",
                    "menos de 1g",
                    "<1 g",
                    "Less than 1g",
                ]
            )
        return n + (" " if r.random() < 0.18 else "") + unit

    def name(self, key: str) -> list[Run]:
        """Return the name of a nutrient."""
        table = ES if self.r.random() < 0.13 and key in ES else EN
        name = self.r.choice(table[key])
        if self.r.random() < 0.04:
            name = name.upper()
        face = "b" if key in BOLD and self.r.random() < 0.9 else "r"
        if key == "trans_fat" and self.r.random() < 0.7:
            first, _, rest = name.partition(" ")
            return (
                [(first, "i"), (" " + rest, "r")] if first == "Trans" else [(first + " ", "r"), (rest, "i")]
            )
        return [(name, face)]

    def nutrient(self) -> list[Run]:
        """Return a nutrient and its amount."""
        key = self.r.choice(list(EN))
        return [*self.name(key), (" " + self.value(key), "r" if self.r.random() < 0.92 else "b")]

    def nutrient_percent(self) -> list[Run]:
        """Return a nutrient, its amount and its percent."""
        gap = " " * self.r.choice([1, 1, 1, 2, 3, 4, 6])
        return [*self.nutrient(), (gap + self.pct(), self.r.choice("br"))]

    def pct(self) -> str:
        """Return a percent."""
        r = self.r
        n = r.choice(
            [
                "0",
                str(r.randint(1, 9)),
                str(r.randint(10, 50)),
                str(r.randint(2, 10) * 10),
                str(r.randint(1, 20) * 5),
            ]
        )
        return n + (" " if r.random() < 0.08 else "") + "%"

    def percent(self) -> list[Run]:
        """Return a percent alone."""
        return [(self.pct(), self.r.choice("bbr"))]

    def percents(self) -> list[Run]:
        """Return two percents."""
        return [(self.pct() + " " * self.r.randint(1, 5) + self.pct(), self.r.choice("br"))]

    def fraction(self) -> str:
        """Return a fraction, as a sign or in figures."""
        f = self.r.choice(list(FRACTION))
        return FRACTION[f] if self.r.random() < 0.45 else f

    def household(self) -> str:
        """Return a household measure."""
        r = self.r
        unit = r.choice(
            [
                "cup",
                "cup",
                "cup",
                "tbsp",
                "tbsp",
                "Tbsp",
                "tsp",
                "oz",
                "fl oz",
                "cups",
                r.choice(["Cup", "CUP", "cup(s)", "Cups"]),
                r.choice(["Tbsp.", "tbsp.", "TBSP", "Tbs", "Tablespoon", "tablespoons"]),
                r.choice(["Tsp", "tsp.", "TSP", "teaspoon", "oz.", "Oz", "OZ", "pkg", "pkg."]),
                r.choice(["taza", "tazas", "taza(s)", "cda", "cdas.", "cdta", "cucharada", "cucharadas"]),
                r.choice(NOUNS),
                r.choice(NOUNS),
            ]
        )
        n = r.choice(
            [
                self.fraction(),
                self.fraction(),
                str(r.randint(1, 3)),
                f"{r.randint(1, 2)}{r.choice([' ', ' ', ''])}{self.fraction()}",
                str(r.randint(1, 30)),
                f"{r.randint(1, 4)}.{r.choice('5253')}",
            ]
        )
        if len(n) > 1 and n[0].isdigit() and "/" in n and " " not in n and n[1] != "/":
            n = n[0] + " " + n[1:]
        return f"{n} {unit}"

    def metric(self) -> str:
        """Return a metric measure."""
        r = self.r
        unit = r.choice(["g", "g", "g", "g", "mL", "ml", " g", " mL"])
        n = r.choice([str(r.randint(5, 99)), str(r.randint(100, 400)), f"{r.randint(1, 4)}.{r.choice('5')}"])
        extra = r.choice(
            [
                "",
                "",
                "",
                "",
                f"/about {r.randint(2, 60)} {r.choice(NOUNS)}",
                f"/{r.randint(1, 9)} oz",
                f"/{r.randint(1, 12)}.{r.randint(1, 9)} oz",
            ]
        )
        return f"{n}{unit}{extra}"

    def serving(self) -> list[Run]:
        """Return a serving size."""
        r = self.r
        said = r.choice(
            [f"{self.household()} ({self.metric()})"] * 5
            + [
                self.metric(),
                f"({self.metric()})",
                f"{self.household()} {self.metric()}",
                self.household(),
                f"{self.household()} ({self.metric()}) dry",
            ]
        )
        head = r.choice(
            [
                "",
                "",
                "",
                "Serving size ",
                "Serving Size ",
                "Serving size: ",
                "Serv. size ",
                "Serv. Size: ",
                "Tamaño de la porción ",
            ]
        )
        return [(head, r.choice("br")), (said, r.choice("br"))]

    def servings(self) -> list[Run]:
        """Return how many servings the pack holds."""
        r = self.r
        n = r.choice(
            [
                str(r.randint(1, 40)),
                f"About {r.randint(2, 30)}",
                f"about {r.randint(2, 30)}",
                f"{r.randint(2, 4)}.5",
                f"about {r.randint(2, 4)}.5",
            ]
        )
        return [
            (
                r.choice(
                    [
                        f"{n} servings per container",
                        f"Servings Per Container {n}",
                        f"{n} Servings Per Container",
                        f"Servings: {n}",
                        f"{n} servings",
                        f"Servings per container: {n}",
                        f"{n} porciones por envase",
                        f"{n} servings per package",
                        f"Serv. Per Cont. {n}",
                        f"Servings Per Container: {n}",
                        f"{n} porciones",
                    ]
                ),
                r.choice("rrb"),
            )
        ]

    def kcal(self) -> str:
        """Return a number of calories."""
        r = self.r
        return r.choice(
            [
                "0",
                str(r.randint(1, 10) * 5),
                str(r.randint(5, 60) * 10),
                str(r.randint(5, 99) * 10),
                str(r.randint(10, 990)),
            ]
        )

    def calories(self) -> list[Run]:
        """Return the line of the calories."""
        r = self.r
        return r.choice(
            [
                [("Calories", "b"), (" " * r.randint(1, 4) + self.kcal(), "b")],
                [(self.kcal(), "b")],
                [("Calories ", "b"), (self.kcal(), "r")],
                [("Calorías ", "b"), (self.kcal(), "b")],
                [(self.kcal() + " Calories", "b")],
                [(self.kcal(), "b")],
            ]
        )

    def old(self) -> list[Run]:
        """Return a line of the layout before 2016."""
        r = self.r
        fat = f"Calories from Fat {self.kcal()}"
        return r.choice(
            [
                [(fat, "r")],
                [("Calories", "b"), (f" {self.kcal()}   {fat}", "r")],
                [(f"{r.choice(['Vitamin A', 'Vitamin C', 'Calcium', 'Iron'])} {self.pct()}", "r")],
                [(f"Vitamin A {self.pct()}  {r.choice('•*')}  Vitamin C {self.pct()}", "r")],
                [(f"Less than {r.choice(['65g', '20g', '300mg', '2,400mg', '80g', '25g'])}", "r")],
                [(f"Calcium {self.pct()} • Iron {self.pct()}", "r")],
            ]
        )

    def head(self) -> list[Run]:
        """Return a heading."""
        return [(self.r.choice(HEADS), self.r.choice("bbr"))]

    def added(self) -> list[Run]:
        """Return the line of the added sugars."""
        r = self.r
        n = f"{r.choice([0, r.randint(1, 9), r.randint(10, 60)])}{r.choice(['', '', ' '])}g"
        if r.random() < 0.06:
            n = r.choice(["<1g", "less than 1g"])
        text = r.choice(
            [f"Includes {n} Added Sugars"] * 5
            + [
                f"Incl. {n} Added Sugars",
                f"Includes {n} of Added Sugars",
                f"Incluye {n} de Azúcares Añadidos",
                f"Incluye {n} Azúcares Añadidos",
                f"Includes {n} added sugars",
                f"(Includes {n} Added Sugars)",
            ]
        )
        return [(text, "r"), (f"  {self.pct()}" if r.random() < 0.2 else "", "b")]

    def linear(self) -> list[Run]:
        """Return a stretch of a panel set in running text."""
        r, parts = self.r, []
        for _ in range(r.randint(1, 3)):
            key = r.choice(list(EN))
            parts += [
                *self.name(key),
                (
                    " "
                    + self.value(key)
                    + (f" ({self.pct()}{r.choice([' DV', '', ' VD', ' DV'])})" if r.random() < 0.7 else "")
                    + r.choice([", ", ", ", "; ", ". "]),
                    "r",
                ),
            ]
        text = [(t, f) for t, f in parts]
        return self.window(text)

    def window(self, runs: list[Run]) -> list[Run]:
        """Cut a stretch out of a longer line, as a line end does."""
        chars = [(c, f) for t, f in runs for c in t]
        if len(chars) <= 6:
            return runs
        size = self.r.randint(min(6, len(chars)), min(44, len(chars)))
        start = self.r.randint(0, len(chars) - size)
        out: list[Run] = []
        for c, f in chars[start : start + size]:
            if out and out[-1][1] == f:
                out[-1] = (out[-1][0] + c, f)
            else:
                out.append((c, f))
        if out:
            out[0] = (out[0][0].lstrip(), out[0][1])
            out[-1] = (out[-1][0].rstrip(), out[-1][1])
        return out

    def bilingual(self) -> list[Run]:
        """Return a nutrient in two languages."""
        key = self.r.choice([k for k in ES if k in EN])
        face = "b" if key in BOLD else "r"
        mid = self.r.choice(["/", " / ", "/"])
        return [
            (self.r.choice(EN[key]) + mid + self.r.choice(ES[key]), face),
            (" " + self.value(key) if self.r.random() < 0.7 else "", "r"),
        ]

    def columns(self) -> list[Run]:
        """Return the cells of a table."""
        r, key = self.r, self.r.choice(list(EN))
        gap = lambda: " " * r.randint(1, 5)  # noqa: E731
        body = r.choice(
            [
                f"{self.value(key)}{gap()}{self.pct()}",
                f"{self.value(key)}{gap()}{self.pct()}{gap()}{self.value(key)}{gap()}{self.pct()}",
                f"{self.value(key)}{gap()}{self.value(key)}",
                f"{self.pct()}{gap()}{self.pct()}",
            ]
        )
        return [
            *(self.name(key) if r.random() < 0.3 else []),
            ((" " if r.random() < 0.3 else "") + body, "r"),
        ]

    def foot(self) -> list[Run]:
        """Return a stretch of the footnote."""
        return self.window([(self.r.choice(FOOT), "r")])

    def words(self) -> list[Run]:
        """Return words of ingredients and addresses."""
        text = " ".join(self.r.choice(WORDS) for _ in range(self.r.randint(1, 5)))
        text = self.r.choice([text, text.upper(), text.title(), text.replace(" ", ", ", 1)])
        return [(text[:44].strip(), self.r.choice("rrb"))]

    def amount(self) -> list[Run]:
        """Return an amount alone."""
        return [
            (
                self.value(self.r.choice(["fat", "sodium", "vitamin_d", "fat", "calcium"])),
                self.r.choice("rrb"),
            )
        ]

    def number(self) -> list[Run]:
        """Return a number alone."""
        r = self.r
        return [
            (
                r.choice(
                    [
                        str(r.randint(0, 9)),
                        str(r.randint(10, 999)),
                        f"{r.randint(0, 99)}.{r.randint(0, 9)}",
                        f"{r.randint(1, 9)},{r.randint(0, 999):03d}",
                        self.fraction(),
                        f"{r.randint(0, 99999)}",
                    ]
                ),
                r.choice("br"),
            )
        ]

    def net(self) -> list[Run]:
        """Return the net contents."""
        r = self.r
        return [
            (
                r.choice(
                    [
                        f"NET WT {r.randint(2, 40)} OZ ({r.randint(50, 999)}g)",
                        f"Net Wt. {r.randint(1, 30)}.{r.randint(0, 9)} oz",
                        f"{r.randint(4, 64)} FL OZ ({r.randint(100, 999)} mL)",
                        f"PESO NETO {r.randint(50, 999)} g",
                        f"{r.randint(1, 3)} LB {r.randint(1, 15)} OZ",
                    ]
                ),
                r.choice("br"),
            )
        ]

    def noise(self) -> list[Run]:
        """Return letters at random."""
        return [("".join(self.r.choice(CHARS) for _ in range(self.r.randint(1, 14))).strip() or "0", "r")]
