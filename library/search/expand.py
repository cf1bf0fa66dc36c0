"""From a query to a plan: synonyms, slips, sizes near by, filters, and how common each term is."""

from collections.abc import Iterable, Sequence

from sqlalchemy import Connection, bindparam, text

from vouchbook.library.search.places import CONFIRMED, lowest
from vouchbook.library.search.plan import EXACT, SLIP, SYNONYM, Group, Plan, Way
from vouchbook.library.search.query import Filters, Query
from vouchbook.library.search.sizes import Size, millimetres, near_range, size_token
from vouchbook.library.search.slips import meant_by
from vouchbook.library.search.synonyms import Synonyms
from vouchbook.library.search.words import plain_form, words_of

_RARE = 100_000
"""One sentence in so many may hold a slip: a word that is no more common than that may be one itself."""
_MOST_BY_TERM = {"sqlite": 100, "postgresql": 3}
"""Up to so many subjects or visits are terms of the question; more are looked up for each match."""
_MOST_SIZES = 40
_A_PHRASE_OF = 10
"""Of so many sentences with the rarest word of a phrase one holds the phrase, about."""
_KINDS = ("k_said", "k_step", "k_tool", "k_location", "k_warning", "k_cue")


class _Wish(Group):
    """A group before its frequency is known; ``word`` may be a slip."""

    word: str | None = None


def plan_of(connection: Connection, query: Query, synonyms: Synonyms) -> Plan:
    """What the index is asked for ``query``."""
    wishes = [*_words(query.words, synonyms), *_phrases(query.phrases, synonyms), *_sizes(connection, query.sizes)]
    tags = [
        _Wish(ways=(Way(terms=(f"{letter}_{form}",)),), is_required=True)
        for letter, value in _tagged(query.filters)
        for form in value
    ]
    ids = _ids(connection, query.filters)
    if ids is not None and not ids[1]:
        return Plan(is_impossible=True)
    visits: frozenset[int] | None = None
    share = 1.0
    if ids is not None:
        letter, numbers = ids
        share = min(1.0, len(numbers) / _count(connection, letter))
        if len(numbers) <= _MOST_BY_TERM[connection.dialect.name]:
            ways = tuple(Way(terms=(f"{letter}_{number}",)) for number in numbers)
            tags.append(_Wish(ways=ways, is_required=True))
        else:
            visits = frozenset(numbers) if letter == "v" else _visits_of(connection, numbers)
    known = _sentences(connection, (term for wish in (*wishes, *tags) for way in wish.ways for term in way.terms))
    groups = [_with_slips(connection, wish, known) for wish in wishes]
    return Plan(
        groups=tuple(_counted(wish, known) for wish in (*groups, *tags)),
        excluded=query.excluded,
        visits=visits,
        visits_share=share,
        lowest_place=lowest(CONFIRMED) if query.filters.is_confirmed_only else 0,
        sentences=sum(known.get(kind, 0) for kind in _KINDS),
        items=sum(known.get(kind, 0) for kind in _KINDS if kind != "k_said"),
    )


def _words(words: Sequence[str], synonyms: Synonyms) -> list[_Wish]:
    return [
        _Wish(ways=(Way(terms=(word,)), *(Way(terms=other, weight=SYNONYM) for other in others)), word=word)
        for word, others in zip(words, synonyms.others(words), strict=True)
    ]


def _phrases(phrases: Sequence[tuple[str, ...]], synonyms: Synonyms) -> list[_Wish]:
    """A phrase in quotes is meant as it stands: no synonyms."""
    del synonyms
    return [_Wish(ways=(Way(terms=phrase),), is_required=True) for phrase in phrases]


def _sizes(connection: Connection, sizes: Sequence[Size]) -> list[_Wish]:
    return [
        _Wish(
            ways=tuple(Way(terms=(size_token(normal),), weight=weight) for normal, weight in _forms(connection, size)),
            is_required=True,
        )
        for size in sizes
    ]


def _forms(connection: Connection, size: Size) -> list[tuple[str, float]]:
    """The normal forms that answer ``size``, and what each is worth."""
    found = [(size.normal, EXACT)]
    mm = millimetres(size.value, size.unit)
    if size.is_near and mm is not None:
        low, high = near_range(mm)
        asked = text(
            "SELECT normal FROM search_size WHERE millimetres BETWEEN :low AND :high "
            "ORDER BY abs(millimetres - :mm), normal LIMIT :most"
        )
        values = {"low": low, "high": high, "mm": mm, "most": _MOST_SIZES}
        found += [(normal, SYNONYM) for normal in connection.execute(asked, values).scalars()]
    elif size.is_bare and size.value is not None:  # "13" asks for no unit, so 13 mm and 13 V answer it
        asked = text("SELECT normal FROM search_size WHERE value = :value ORDER BY normal LIMIT :most")
        values = {"value": size.value, "most": _MOST_SIZES}
        found += [(normal, SYNONYM) for normal in connection.execute(asked, values).scalars()]
    elif mm is not None and size.unit == "mm" and size.value == int(size.value or 0):
        found.append((f"{size.value:g}", SLIP))  # "the ten": nobody said the unit, the sentence shows that
    return list({normal: (normal, weight) for normal, weight in reversed(found)}.values())[::-1]


def _tagged(filters: Filters) -> Iterable[tuple[str, list[str]]]:
    kind = [filters.kind] if filters.kind else []
    yield "k", [plain_form(word) for word in kind]
    for letter, value in (("p", filters.phase), ("h", filters.hazard), ("n", filters.person)):
        yield letter, [word.form for word in words_of(value or "")]


def _ids(connection: Connection, filters: Filters) -> tuple[str, list[int]] | None:
    """The subjects ("s") or visits ("v") that meet ``filters``; None when they ask nothing of either."""
    conditions: list[str] = []
    values: dict[str, object] = {}
    for name, columns in (
        ("subject", "kind || ' ' || maker || ' ' || model"),
        ("maker", "maker"),
        ("energy", "energy"),
    ):
        for number, word in enumerate(words_of(getattr(filters, name) or "")):
            conditions.append(
                f"lower(subject.{columns}) LIKE :{name}_{number}".replace("|| ' ' || ", "|| ' ' || subject.")
            )
            values[f"{name}_{number}"] = f"%{word.form}%"
    if filters.subject_id is not None:
        conditions.append("subject.id = :subject_id")
    if filters.years_from is not None:
        conditions.append("(subject.years_to IS NULL OR subject.years_to >= :years_from)")
    if filters.years_to is not None:
        conditions.append("(subject.years_from IS NULL OR subject.years_from <= :years_to)")
    of_subject = len(conditions)
    for number, word in enumerate(words_of(filters.place or "")):
        conditions.append(f"lower(visit.place) LIKE :place_{number}")
        values[f"place_{number}"] = f"%{word.form}%"
    if filters.held_from is not None:
        conditions.append("visit.held_on >= :held_from")
    if filters.held_to is not None:
        conditions.append("visit.held_on <= :held_to")
    if filters.visit_id is not None:
        conditions.append("visit.id = :visit_id")
    if not conditions:
        return None
    for name in ("subject_id", "years_from", "years_to", "held_from", "held_to", "visit_id"):
        value = getattr(filters, name)
        values[name] = value.isoformat() if name.startswith("held") and value else value
    if connection.dialect.name == "postgresql":
        conditions = [c.replace(":held_from", "CAST(:held_from AS date)").replace(":held_to", "CAST(:held_to AS date)")
                      for c in conditions]  # fmt: skip
    source = "subject" if of_subject == len(conditions) else "visit JOIN subject ON subject.id = visit.subject_id"
    column = "subject.id" if source == "subject" else "visit.id"
    asked = text(f"SELECT {column} FROM {source} WHERE {' AND '.join(conditions)}")  # noqa: S608  values are bound
    used = {name: value for name, value in values.items() if f":{name}" in asked.text}
    return column[0], list(connection.execute(asked, used).scalars())


def _count(connection: Connection, letter: str) -> int:
    """How many subjects or visits there are, at least 1; the last number, which costs nothing to read."""
    asked = text("SELECT max(id) FROM visit" if letter == "v" else "SELECT max(id) FROM subject")
    return connection.execute(asked).scalar_one() or 1


def _visits_of(connection: Connection, subjects: Sequence[int]) -> frozenset[int]:
    asked = text("SELECT id FROM visit WHERE subject_id IN :ids").bindparams(bindparam("ids", expanding=True))
    return frozenset(connection.execute(asked, {"ids": list(subjects)}).scalars())


def _sentences(connection: Connection, terms: Iterable[str]) -> dict[str, int]:
    """In how many sentences each of ``terms`` stands, and each kind."""
    asked = text("SELECT term, sentences FROM search_term WHERE term IN :terms").bindparams(
        bindparam("terms", expanding=True)
    )
    rows = connection.execute(asked, {"terms": sorted({*terms, *_KINDS})})
    return {row.term: row.sentences for row in rows}


def _with_slips(connection: Connection, wish: _Wish, known: dict[str, int]) -> _Wish:
    held = sum(_rarest(way, known) for way in wish.ways)
    if wish.word is None or held * _RARE > sum(known.get(kind, 0) for kind in _KINDS):
        return wish
    meant = meant_by(connection, wish.word)
    if not meant:
        return wish
    known.update(_sentences(connection, meant))
    slips = tuple(Way(terms=(other,), weight=SLIP) for other in meant)
    return wish.model_copy(update={"ways": (*wish.ways, *slips)})


def _counted(wish: _Wish, known: dict[str, int]) -> Group:
    is_counted = not wish.ways[0].terms[0].startswith(("s_", "v_"))  # their share of all is counted by itself
    sentences = sum(_rarest(way, known) for way in wish.ways)
    likely = sum(-(-_rarest(way, known) // (_A_PHRASE_OF if len(way.terms) > 1 else 1)) for way in wish.ways)
    return Group(
        ways=wish.ways, is_required=wish.is_required, sentences=sentences if is_counted else None, likely=likely
    )


def _rarest(way: Way, known: dict[str, int]) -> int:
    """How many sentences hold the rarest term of ``way``."""
    return min(known.get(term, 0) for term in way.terms)
