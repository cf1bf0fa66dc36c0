"""Plain full text of the two databases, as anybody gets it with a few lines: what our search is compared with.

Both ask for all words first. Where fewer than wanted have them all, sentences with any of them follow. Words are
brought to their stem by what the database has for English.
"""

import re
from collections.abc import Sequence

from sqlalchemy import Connection, text

_PART = re.compile(r'"([^"]+)"|(\S+)')


def fill(connection: Connection, sentences: Sequence[str]) -> None:
    """Makes and fills the table ``plain``; the number of a sentence is its place in the list."""
    if connection.dialect.name == "sqlite":
        connection.execute(text("CREATE VIRTUAL TABLE plain USING fts5(words, tokenize = 'porter unicode61')"))
        added = "INSERT INTO plain (rowid, words) VALUES (:id, :words)"
    else:
        connection.execute(text("CREATE TABLE plain (id INTEGER, terms tsvector)"))
        added = "INSERT INTO plain VALUES (:id, to_tsvector('english', :words))"
    connection.execute(text(added), [{"id": number, "words": words} for number, words in enumerate(sentences)])


def found(connection: Connection, typed: str, most: int) -> list[int]:
    """The numbers of the best sentences: those with all words, then those with any."""
    ask = _by_fts5 if connection.dialect.name == "sqlite" else _by_tsquery
    numbers = ask(connection, typed, most, is_any=False)
    return list(dict.fromkeys([*numbers, *ask(connection, typed, most + len(numbers), is_any=True)]))[:most]


def _by_fts5(connection: Connection, typed: str, most: int, *, is_any: bool) -> list[int]:
    parts = [f'"{phrase or word}"' for phrase, word in _PART.findall(typed)]
    asked = text("SELECT rowid FROM plain WHERE plain MATCH :match ORDER BY bm25(plain), rowid LIMIT :most")
    match = " OR ".join(parts) if is_any else " AND ".join(parts)
    return list(connection.execute(asked, {"match": match, "most": most}).scalars())


def _by_tsquery(connection: Connection, typed: str, most: int, *, is_any: bool) -> list[int]:
    match = "websearch_to_tsquery('english', :typed)"
    if is_any:  # phrases, which are joined by <->, stay phrases
        match = f"CAST(replace(CAST({match} AS text), '&', '|') AS tsquery)"
    asked = text(
        f"SELECT id FROM plain, {match} AS asked WHERE terms @@ asked "  # noqa: S608  fixed text
        "ORDER BY ts_rank_cd(terms, asked) DESC, id LIMIT :most"
    )
    return list(connection.execute(asked, {"typed": typed, "most": most}).scalars())
