"""How well search ranks beside plain full text of the same database: nDCG@10 over judged questions.

    python benchmarks/search_ranking.py --databases sqlite postgresql
    python benchmarks/search_ranking.py --pool

The sentences are the lines of the talks in tests/gold/open, each text once. The questions stand in search_ranking.tsv
with a grade for each sentence that any of the four ways had among its first ten: 2 answers the question, 1 helps, 0
does neither. The pool of a question was judged in the order of its texts, without a look at which way found what.
``--pool`` prints the sentences that are not judged yet; they count as 0, and the report says how many there are.

Gain is 2^grade - 1, the discount log2(place + 1); the ideal order is that of all judged sentences of the question.
"""

import argparse
import math
import statistics
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import plain_search
from databases import place_of, with_databases
from search_speed import lines
from search_tables import make_tables, sqlite_engine
from sqlalchemy import Connection, Engine, create_engine, text

from vouchbook.library.search.find import find
from vouchbook.library.search.query import parse
from vouchbook.library.search.sentences import add_rows, optimise

_TABLE = Path(__file__).with_suffix(".tsv")
_MOST = 10

Grades = dict[str, int]
Way = Callable[[str], list[str]]


def questions() -> dict[tuple[str, str], Grades]:
    """The judged sentences of each (kind, question), in the order of the table; a question alone has none yet."""
    found: dict[tuple[str, str], Grades] = {}
    for row in _TABLE.read_text(encoding="utf-8").splitlines()[1:]:
        kind, question, *judged = row.split("\t")
        grades = found.setdefault((kind, question), {})
        if judged:
            grades[judged[1]] = int(judged[0])
    return found


def ndcg(ranked: Sequence[str], grades: Grades) -> float:
    """The gain of an order as a share of what the best order of the judged sentences gains."""
    best = _gain(sorted(grades.values(), reverse=True)[:_MOST])
    return _gain([grades.get(sentence, 0) for sentence in ranked[:_MOST]]) / best if best else 0.0


def _gain(grades: Sequence[int]) -> float:
    return sum((2.0**grade - 1) / math.log2(place + 2) for place, grade in enumerate(grades))


def ways(connection: Connection, name: str, sentences: Sequence[str]) -> dict[str, Way]:
    """Our search and the plain one, over the same sentences in one database."""
    make_tables(connection)
    connection.execute(text("INSERT INTO subject (id, kind, maker, model) VALUES (1, 'car', 'Kestrel', 'Model 1')"))
    connection.execute(text("INSERT INTO visit VALUES (1, 1, 'Canal depot', '2025-01-15')"))
    rows: list[dict[str, object]] = [
        {
            "id": number + 1, "visit_id": 1, "draft_id": 1, "item_id": None, "start_s": 4.0 * number,
            "end_s": 4.0 * number + 3, "voice": None, "words": words, "subject_id": 1, "kind": None, "phase": None,
            "hazard": None, "state": None, "record": {},
        }
        for number, words in enumerate(sentences)
    ]  # fmt: skip
    added = "INSERT INTO sentence VALUES (:id, :visit_id, :draft_id, NULL, :item_id, :start_s, :end_s, :voice, :words)"
    connection.execute(text(added), rows)
    add_rows(connection, rows)
    optimise(connection)
    plain_search.fill(connection, sentences)

    def ours(typed: str) -> list[str]:
        return [sentences[one.sentence_id - 1] for one in find(connection, parse(typed), most=_MOST).results]

    def plain(typed: str) -> list[str]:
        return [sentences[number] for number in plain_search.found(connection, typed, _MOST)]

    return {f"ours, {name}": ours, {"sqlite": "FTS5 bm25", "postgresql": "ts_rank_cd"}[name]: plain}


@contextmanager
def engine_of(name: str, folder: Path) -> Iterator[Engine]:
    """An empty database."""
    if name == "sqlite":
        yield sqlite_engine(folder / "ranking.db")
        return
    with place_of(name, folder) as url:
        engine = create_engine(url.replace("postgresql://", "postgresql+psycopg://"))
        yield engine
        engine.dispose()


def report(asked: dict[tuple[str, str], Grades], answers: dict[str, dict[str, list[str]]]) -> None:
    """Prints the mean of each kind and of all, a column for each way."""
    kinds = [*dict.fromkeys(kind for kind, _ in asked), "all"]
    print("| questions |", " | ".join(answers), "|")
    print("| --- |" + " --- |" * len(answers))
    for kind in kinds:
        of_kind = {question: grades for (k, question), grades in asked.items() if kind in (k, "all")}
        means = [statistics.mean(ndcg(by[q], grades) for q, grades in of_kind.items()) for by in answers.values()]
        print(f"| {kind} ({len(of_kind)}) |", " | ".join(f"{mean:.3f}" for mean in means), "|")
    for way, by in answers.items():
        unjudged = sum(sentence not in grades for (_, q), grades in asked.items() for sentence in by[q])
        nothing = sum(not by[q] for _, q in asked)
        print(f"{way}: {unjudged} sentences not judged, {nothing} questions without an answer")


def main() -> None:
    """Asks each database all questions; prints the figures, or with ``--pool`` what is to be judged."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    options.add_argument("--pool", action="store_true", help="print what is not judged yet, sorted by text")
    with_databases(options)
    given = options.parse_args()
    asked, sentences = questions(), list(dict.fromkeys(lines()))
    answers: dict[str, dict[str, list[str]]] = {}
    for name in given.databases:
        with (
            tempfile.TemporaryDirectory() as folder,
            engine_of(name, Path(folder)) as engine,
            engine.connect() as connection,
        ):
            for way, ask in ways(connection, name, sentences).items():
                answers[way] = {question: ask(question) for _, question in asked}
    if not given.pool:
        print(f"{len(sentences):,} sentences, {len(asked)} questions, nDCG@{_MOST}")
        report(asked, answers)
        return
    for (kind, question), grades in asked.items():
        pool = {sentence for by in answers.values() for sentence in by[question]} - set(grades)
        for sentence in sorted(pool):
            print(kind, question, "?", sentence, sep="\t")


if __name__ == "__main__":
    main()
