"""The clause right behind another, where it tells how long or in which case: "…, until he's out"."""

from collections.abc import Set

from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk


def clause_behind(talk: Talk, end: int, markers: Set[str], longest: int) -> Clause | None:
    """The clause of the same sentence that begins right behind token ``end`` with one of ``markers``.

    None where it has more than ``longest`` tokens: it tells more than that.
    """
    doc = talk.doc
    sentence_end = doc[end - 1].sent.end
    at = next((t for t in range(end, sentence_end) if not doc[t].is_punct), sentence_end)
    clause = talk.clause_at(at) if at < sentence_end else None
    if clause is None or clause.start != at:
        return None
    is_marked = clause.marker in markers and clause.body > clause.start
    return clause if is_marked and clause.end - clause.start <= longest else None
