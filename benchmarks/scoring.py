"""Scores of drafts against gold walk-throughs.

usage: python benchmarks/scoring.py GOLD_DIR DRAFT_DIR [--json] [--show]

GOLD_DIR holds NAME.gold.json and NAME.vtt (tests/gold/README.md), DRAFT_DIR a NAME.json for each. An item of the draft
finds one of the gold when their kinds agree, their seconds overlap (2 s of slack) and what they say is close enough;
each finds one at most, the closest first. Precision says how much of the draft is right, recall how much of the gold
it has.
"""

import argparse
import html
import json
import re
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from rapidfuzz import fuzz

KINDS = ("step", "tool", "location", "warning", "cue")
SLACK_S = 2.0
CLOSE = {"step": 62, "tool": 80, "location": 62, "warning": 55, "cue": 55}
"""Similarity in percent from which two items say the same; tools have short names, warnings are worded freely."""
LONGEST_QUOTE = 45

Item = dict[str, Any]
Range = tuple[float, float]

_STOP = frozenset("the a an of to and it its this that your you is are on in for with".split())
_ALIKE = (
    (r"\b(?:take|pull|lift|get) (?:off|out)\b|\bremov(?:e|es|ing)\b", "remove"),
    (r"\bunplug\b|\bunclip\b|\bpull apart\b", "disconnect"),
    (r"\bundo\b|\bunscrew\b|\bslacken\b", "loosen"),
    (r"\bput in\b|\bput through\b|\bpush in\b", "insert"),
    (r"\b(?:turn|switch|shut) off\b", "off"),
    (r"(?<=\d)\s*(?:volts?|v)\b|\bvolts?\b", " v"),
)


def plain(text: str | None) -> str:
    """The words of ``text`` that carry it, stemmed roughly, verbs of one meaning made one."""
    line = (text or "").lower()
    for pattern, word in _ALIKE:
        line = re.sub(pattern, word, line)
    return " ".join(_stem(w) for w in re.findall(r"[a-z0-9/]+(?:\.\d+)?", line) if w not in _STOP)


def _stem(word: str) -> str:
    for end in ("ing", "ed", "es", "s"):
        if len(word) > len(end) + 2 and word.endswith(end) and not word.endswith("ss"):
            word = word[: -len(end)]
            if end in ("ing", "ed") and len(word) > 3 and word[-1] == word[-2]:
                word = word[:-1]
            break
    return word.rstrip("e") if len(word) > 3 else word


def size(text: str | None) -> str | None:
    """A size as it is compared: "10 mm" and "10mm" are one."""
    return re.sub(r"[\s#-]+", "", (text or "").lower()) or None


def said(item: Item) -> str:
    """What is compared of an item."""
    match item["kind"]:
        case "step":
            return plain(f"{item.get('action', '')} {item.get('object', '')}")
        case "tool":
            return plain(item.get("name"))
        case "location":
            return plain(f"{item.get('part', '')} {item.get('place', '')}")
        case "warning":
            return plain(f"{item.get('text', '')} {item.get('prohibits') or ''}")
    return plain(item.get("text"))


def seconds(item: Item) -> Range:
    """The seconds of an item of the gold or of a draft."""
    at = item.get("at") or (item["start"], item["end"])
    return float(at[0]), float(at[1])


def overlap(one: Range, other: Range, slack_s: float = SLACK_S) -> bool:
    """Whether two ranges of seconds meet, with some slack."""
    return min(one[1], other[1]) - max(one[0], other[0]) >= -slack_s


def similarity(gold: Item, found: Item) -> float:
    """How alike two items of one kind are, 0 to 100."""
    a, b = said(gold), said(found)
    if gold["kind"] == "tool":
        wanted, given = size(gold.get("size")), size(found.get("size"))
        if wanted and given:
            return 100 if wanted == given else 0
        score = _words_alike(a, b)
        return score if wanted == given else min(score, 95)
    score = _words_alike(a, b)
    if gold["kind"] in {"warning", "cue"} and len(found.get("quote", "").split()) <= LONGEST_QUOTE:
        b = f"{b} {plain(found.get('quote'))}"
        score = max(score, fuzz.token_set_ratio(a, b))
    if gold["kind"] == "step":  # one may tell as the place what the other tells as the thing
        longer, other = f"{a} {plain(gold.get('place'))}", f"{b} {plain(found.get('place'))}"
        score = max(score, *(fuzz.token_sort_ratio(x, y) for x, y in ((longer, other), (longer, b), (a, other))))
    shared, needed = set(a.split()) & set(b.split()), min(len(set(a.split())), max(4, len(set(b.split()))))
    if a and len(shared) / needed < 1 / 3 and fuzz.partial_ratio(a, b) < 75:
        return min(score, 50)
    if len(said(found).split()) > 2 * len(a.split()) + 8:  # a whole sentence in a field finds nothing
        return min(score, 50)
    return score


def _words_alike(one: str, other: str) -> float:
    return max(fuzz.token_set_ratio(one, other), fuzz.token_sort_ratio(one, other)) if one and other else 0


def pairs(gold: Sequence[Item], draft: Sequence[Item]) -> list[tuple[int, int]]:
    """The places of the gold's and the draft's items that belong together, the closest first."""
    candidates = sorted(
        (
            (similarity(g, d), i, j)
            for i, g in enumerate(gold)
            for j, d in enumerate(draft)
            if g["kind"] == d["kind"] and overlap(seconds(g), seconds(d))
        ),
        reverse=True,
    )
    taken_gold: set[int] = set()
    taken_draft: set[int] = set()
    found = []
    for score, i, j in candidates:
        if score >= CLOSE[gold[i]["kind"]] and i not in taken_gold and j not in taken_draft:
            taken_gold.add(i)
            taken_draft.add(j)
            found.append((i, j))
    return found


def same_topic(gold: Item, found: Item) -> bool:
    """Whether the topics agree; taking off what hides a disconnect belongs to either of two."""
    both = {gold.get("phase"), found.get("phase")}
    return len(both) == 1 or (gold["kind"] in {"step", "tool"} and both == {"access", "disable"})


def kendall_tau(order: Sequence[int]) -> float | None:
    """Kendall's tau of ``order`` against the rising order, -1 to 1; None for fewer than two.

    M. G. Kendall, A new measure of rank correlation, Biometrika 30 (1938).
    """
    n = len(order)
    if n < 2:
        return None
    agree = sum((order[j] > order[i]) - (order[j] < order[i]) for i in range(n) for j in range(i + 1, n))
    return agree / (n * (n - 1) / 2)


class Tally:
    """What all talks together give."""

    def __init__(self) -> None:
        self.found: Counter[str] = Counter()
        self.gold: Counter[str] = Counter()
        self.draft: Counter[str] = Counter()
        self.right: Counter[str] = Counter()
        self.compared: Counter[str] = Counter()
        self.questions: dict[str, Counter[str]] = {
            k: Counter() for k in ("pointer", "borrowed", "conflict", "uncovered")
        }
        self.harm: Counter[str] = Counter()
        self.taus: list[float] = []

    def add(self, gold: Item, draft: Item, transcript: str) -> list[str]:
        """Count one talk; gives a line for each item that was missed or is extra."""
        wanted, given = gold["items"], [d for d in draft["items"] if d["kind"] in KINDS]
        matched = pairs(wanted, given)
        for kind in KINDS:
            self.gold[kind] += sum(i["kind"] == kind for i in wanted)
            self.draft[kind] += sum(d["kind"] == kind for d in given)
        for i, j in matched:
            self.found[wanted[i]["kind"]] += 1
            self._compare(wanted[i], given[j])
        steps = sorted((i, j) for i, j in matched if wanted[i]["kind"] == "step")
        if (tau := kendall_tau([j for _, j in steps])) is not None:
            self.taus.append(tau)
        self._count_harm(gold, given, matched, transcript)
        self._count_questions(gold, draft.get("open_questions", []))
        has, is_right = {i for i, _ in matched}, {j for _, j in matched}
        missed = [f"missed {i['kind']} {seconds(i)} {said(i)}" for n, i in enumerate(wanted) if n not in has]
        extra = [f"extra  {d['kind']} {seconds(d)} {said(d)}" for n, d in enumerate(given) if n not in is_right]
        return missed + extra

    def _compare(self, gold: Item, found: Item) -> None:
        self._exact("phase", same_topic(gold, found))
        if gold["kind"] == "warning":
            self._exact("signal", gold.get("signal") == found.get("signal"))
        if gold["kind"] in {"step", "tool"} and (gold.get("size") or found.get("size")):
            self._exact(f"{gold['kind']} size", size(gold.get("size")) == size(found.get("size")))
        counts = gold.get("count") or 1, found.get("count") or 1
        if gold["kind"] == "step" and max(counts) > 1:
            self._exact("step count", counts[0] == counts[1])

    def _exact(self, name: str, is_right: bool) -> None:  # noqa: FBT001  a plain fact
        self.compared[name] += 1
        self.right[name] += is_right

    def _count_harm(self, gold: Item, given: list[Item], matched: list[tuple[int, int]], transcript: str) -> None:
        has, true_steps = {i for i, _ in matched}, {j for _, j in matched}
        for n, item in enumerate(gold["items"]):
            if item["kind"] == "warning" and item.get("signal") in {"danger", "warning"}:
                self.harm["danger and warning items"] += 1
                self.harm["of these missed"] += n not in has
            forbidden = plain(item.get("prohibits"))
            if item["kind"] == "warning" and forbidden:
                self.harm["prohibitions as steps"] += any(
                    _does(d, forbidden) and overlap(seconds(item), seconds(d), 0)
                    for j, d in enumerate(given)
                    if d["kind"] == "step" and j not in true_steps
                )
        for d in given:
            middle = sum(seconds(d)) / 2
            self.harm["items from chatter"] += any(c[0] <= middle <= c[1] for c in gold.get("chatter", []))
            words = _words(d.get("quote", ""))
            self.harm["quotes not in the transcript"] += not words or f" {words} " not in f" {transcript} "

    def _count_questions(self, gold: Item, asked: list[Item]) -> None:
        for kind, field in (("pointer", "pointers"), ("borrowed", "borrowed")):
            wanted = [seconds(g) for g in gold.get(field, [])]
            given = [seconds(q) for q in asked if q["kind"] == kind]
            self._questions(
                kind,
                [any(overlap(w, g, 1) for g in given) for w in wanted],
                [any(overlap(w, g, 1) for w in wanted) for g in given],
            )
        disputes = [c["at"] for c in gold.get("conflicts", [])]
        raised = [q.get("ranges", []) for q in asked if q["kind"] == "conflict"]
        self._questions(
            "conflict",
            [any(_both(d, r) for r in raised) for d in disputes],
            [any(_both(d, r) for d in disputes) for r in raised],
        )
        silent, named = set(gold.get("uncovered", [])), {q.get("phase") for q in asked if q["kind"] == "uncovered"}
        self._questions("uncovered", [p in named for p in silent], [p in silent for p in named])

    def _questions(self, kind: str, hits: list[bool], right: list[bool]) -> None:
        self.questions[kind].update(gold=len(hits), found=sum(hits), false=len(right) - sum(right))

    def report(self) -> dict[str, Any]:
        """All figures, by name."""
        rows = {kind: _rates(self.found[kind], self.gold[kind], self.draft[kind]) for kind in KINDS}
        rows["all"] = _rates(*(sum(c.values()) for c in (self.found, self.gold, self.draft)))
        return {
            "kinds": rows,
            "exact": {name: round(self.right[name] / n, 3) for name, n in sorted(self.compared.items())},
            "order tau": round(sum(self.taus) / len(self.taus), 3) if self.taus else None,
            "questions": {kind: dict(counts) for kind, counts in self.questions.items()},
            "harm": dict(self.harm),
        }


def _does(step: Item, forbidden: str) -> bool:
    """Whether a step tells to do what is forbidden."""
    verb = plain(step.get("action")).split()[:1]
    return bool(verb) and verb[0] in forbidden.split() and fuzz.token_set_ratio(forbidden, said(step)) >= 80


def _both(dispute: Iterable[Range], ranges: Sequence[Range]) -> bool:
    return all(any(overlap(side, given, 1) for given in ranges) for side in dispute)


def _rates(found: int, gold: int, draft: int) -> dict[str, float]:
    precision, recall = (found / draft if draft else 0.0), (found / gold if gold else 0.0)
    f1 = 2 * precision * recall / (precision + recall) if found else 0.0
    return {
        "precision": round(precision, 3),
        "recall": round(recall, 3),
        "f1": round(f1, 3),
        "gold": gold,
        "draft": draft,
    }


def _words(text: str) -> str:
    return re.sub(r"\W+", " ", text).lower().strip()


def spoken(captions: str) -> str:
    """The words of a WebVTT file, without times, tags and punctuation."""
    lines = captions.splitlines()
    keep = [
        line
        for n, line in enumerate(lines)
        if "-->" not in line
        and not line.startswith(("WEBVTT", "NOTE"))
        and not (n + 1 < len(lines) and "-->" in lines[n + 1])
    ]
    return _words(html.unescape(re.sub(r"<[^>]+>", " ", " ".join(keep))))


def main() -> int:
    """Print the figures; 1 when a draft is missing."""
    parser = argparse.ArgumentParser(description="Score drafts against gold walk-throughs.")
    parser.add_argument("gold", type=Path)
    parser.add_argument("drafts", type=Path)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--show", action="store_true", help="print what was missed and what is extra")
    arguments = parser.parse_args()
    tally, missing = Tally(), 0
    for file in sorted(arguments.gold.glob("*.gold.json")):
        name = file.name.removesuffix(".gold.json")
        draft = arguments.drafts / f"{name}.json"
        missing += not draft.exists()
        made = json.loads(draft.read_text(encoding="utf-8")) if draft.exists() else {"items": [], "open_questions": []}
        captions = file.with_name(f"{name}.vtt").read_text(encoding="utf-8")
        lines = tally.add(json.loads(file.read_text(encoding="utf-8")), made, spoken(captions))
        if arguments.show:
            print("\n".join(f"{name}: {line}" for line in lines))
    report = tally.report()
    if arguments.json:
        print(json.dumps(report))
    else:
        for kind, row in report["kinds"].items():
            print(
                f"{kind:9}"
                + "".join(f" {name} {row[name]:.3f}" for name in ("precision", "recall", "f1"))
                + f"  gold {row['gold']} draft {row['draft']}"
            )
        for name in ("exact", "order tau", "questions", "harm"):
            print(f"{name}: {report[name]}")
    if missing:
        print(f"{missing} drafts are missing", file=sys.stderr)
    return bool(missing)


if __name__ == "__main__":
    sys.exit(main())
