"""Figures of others for the open sets, to print beside ours. None is like for like: theirs are on the test parts."""

PUBLISHED: dict[str, str] = {
    "tools of the toolbox": "step exact 94.3 (LREC 2020, paper 2020.lrec-1.260, second hand, other split)",
    "removed part": "F1 88 (the same paper, trained tagger, held-out part, second hand)",
    "removal verb": "F1 95 (the same)",
    "action": "84.6 / 84.2 / 84.4 (linear CRF trained on the set's training part, its repository)",
    "part": "F1 82.7 (SpERT trained on the set, its repository)",
    "state": "F1 90.3 (the same)",
    "activity": "F1 96.5 (the same)",
}
"""Measures with the figure that their authors published, in percent."""

PLAIN: dict[str, str] = {
    "tools of the toolbox": "88.1 / 92.2 / 90.1",
    "tool kind": "49.3 / 89.7 / 63.6",
    "tool drive": "91.3 / 91.3 / 91.3",
    "tool size": "24.6 / 100 / 39.5",
    "removed part": "48.6 / 46.0 / 47.3",
    "removed part, last word": "F1 57.5",
    "removal verb": "70.9 / 76.1 / 73.4",
    "fastener and count": "64.9 / 35.4 / 45.8",
    "action": "91.9 / 44.9 / 60.3",
    "part": "F1 41.1",
    "state": "F1 74.6",
    "activity": "F1 93.8",
}
"""A plain reader made for each set after a look at it (small model, expressions, lists of words), test part."""
