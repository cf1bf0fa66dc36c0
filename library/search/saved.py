"""Searches that a person keeps under a name."""

from datetime import datetime

from sqlalchemy import JSON, Connection, DateTime, bindparam, text

from vouchbook.library.search.query import Filters, Query, parse
from vouchbook.models.errors import SettingError
from vouchbook.models.record import Record

_LONGEST_NAME = 80


class SavedSearch(Record):
    """What was typed and the filters set beside it, under ``name``."""

    name: str
    typed: str
    filters: Filters = Filters()

    @property
    def query(self) -> Query:
        """The query, read as it is read today."""
        return parse(self.typed, self.filters)


def save_search(connection: Connection, person_id: int, search: SavedSearch, at: datetime) -> None:
    """Keeps ``search``, over one of the same name.

    Raises:
        SettingError: the name is empty, too long or holds characters that cannot be shown.
    """
    if not search.name.strip() or len(search.name) > _LONGEST_NAME or not search.name.isprintable():
        raise SettingError(f"saved search: a name has 1 to {_LONGEST_NAME} characters on one line. Give another name.")
    values = {"person": person_id, "name": search.name, "query": search.model_dump(mode="json"), "at": at}
    connection.execute(
        text(
            "INSERT INTO saved_search (person_id, name, query, created_at) VALUES (:person, :name, :query, :at) "
            "ON CONFLICT (person_id, name) DO UPDATE SET query = excluded.query, created_at = excluded.created_at"
        ).bindparams(bindparam("query", type_=JSON), bindparam("at", type_=DateTime(timezone=True))),
        values,
    )


def saved_searches(connection: Connection, person_id: int) -> tuple[SavedSearch, ...]:
    """The searches of a person, by name."""
    asked = text("SELECT query FROM saved_search WHERE person_id = :person ORDER BY name").columns(query=JSON)
    return tuple(SavedSearch.model_validate(row.query) for row in connection.execute(asked, {"person": person_id}))


def forget_search(connection: Connection, person_id: int, name: str) -> bool:
    """Whether there was a search of that name, which is gone now."""
    asked = text("DELETE FROM saved_search WHERE person_id = :person AND name = :name")
    return connection.execute(asked, {"person": person_id, "name": name}).rowcount > 0
