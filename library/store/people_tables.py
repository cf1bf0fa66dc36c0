"""The tables about people and what is done for them: settings, sign-ins, tokens, searches, waiting work, uploads."""

from datetime import datetime
from typing import Any

from sqlalchemy import Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from vouchbook.library.store.base import COUNTED, Table, numbered, of
from vouchbook.library.store.columns import Json, Key


class SettingRow(Table):
    """What the department sets."""

    __tablename__ = "setting"

    name: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[Any]


class PersonRow(Table):
    """Somebody whom the library knows."""

    __tablename__ = "person"
    __table_args__ = COUNTED

    id: Mapped[int] = numbered()
    login: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    roles: Mapped[list[str]]
    password_hash: Mapped[str | None]
    is_active: Mapped[bool] = mapped_column(default=True)
    created_at: Mapped[datetime]


class SignInRow(Table):
    """A session of a browser; of its secrets only the hashes are here."""

    __tablename__ = "sign_in"
    __table_args__ = COUNTED
    is_journalled = False  # its beginning and its end are; when it was last seen is not

    id: Mapped[int] = numbered()
    token_hash: Mapped[str] = mapped_column(unique=True)
    person_id: Mapped[int] = of(PersonRow.id, index=True)
    csrf_hash: Mapped[str]
    created_at: Mapped[datetime]
    seen_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]


class SignInTryRow(Table):
    """A try to sign in that failed, or is looked at; of the login or address only the hash is here."""

    __tablename__ = "sign_in_try"
    __table_args__ = (Index("ix_sign_in_try_name_hash_at", "name_hash", "at"),)
    is_journalled = False  # forgotten after minutes

    id: Mapped[int] = numbered()
    name_hash: Mapped[str]
    at: Mapped[datetime] = mapped_column(index=True)


class AccessTokenRow(Table):
    """A token for a script; only its hash is here."""

    __tablename__ = "access_token"
    __table_args__ = COUNTED

    id: Mapped[int] = numbered()
    token_hash: Mapped[str] = mapped_column(unique=True)
    person_id: Mapped[int] = of(PersonRow.id, index=True)
    name: Mapped[str]
    created_at: Mapped[datetime]
    expires_at: Mapped[datetime | None]
    revoked_at: Mapped[datetime | None]


class SavedSearchRow(Table):
    """A search that a person keeps."""

    __tablename__ = "saved_search"
    __table_args__ = (UniqueConstraint("person_id", "name"), COUNTED)
    is_journalled = False  # concerns nobody else

    id: Mapped[int] = numbered()
    person_id: Mapped[int] = of(PersonRow.id)
    name: Mapped[str]
    query: Mapped[dict[str, Any]]
    created_at: Mapped[datetime]


class TaskRow(Table):
    """Work that waits, runs or is done."""

    __tablename__ = "task"
    __table_args__ = (
        Index("ix_task_state", "state", "claimed_until"),
        Index("uq_task_key", "key", unique=True),
        COUNTED,
    )
    is_journalled = False  # what it changes is

    id: Mapped[int] = numbered()
    kind: Mapped[str]
    key: Mapped[str | None]
    person_id: Mapped[int | None] = of(PersonRow.id)
    version: Mapped[int] = mapped_column(default=1)
    arguments: Mapped[dict[str, Any]]
    state: Mapped[str] = mapped_column(default="waiting")
    attempts: Mapped[int] = mapped_column(default=0)
    claimed_by: Mapped[str | None]
    claimed_until: Mapped[datetime | None]
    progress: Mapped[float] = mapped_column(default=0.0)
    message: Mapped[str] = mapped_column(default="")
    created_at: Mapped[datetime]
    finished_at: Mapped[datetime | None]
    result: Mapped[dict[str, Any] | None] = mapped_column(Json)


class UploadRow(Table):
    """A file that arrives in parts; the parts lie beside the media until it is whole."""

    __tablename__ = "upload"
    is_journalled = False  # nothing of it is in the library before it is whole

    key: Mapped[str] = mapped_column(primary_key=True)
    person_id: Mapped[int] = of(PersonRow.id, index=True)
    name: Mapped[str]
    size_bytes: Mapped[int] = mapped_column(Key)
    received_bytes: Mapped[int] = mapped_column(Key, default=0)
    sha256: Mapped[str | None]
    created_at: Mapped[datetime]
    expires_at: Mapped[datetime]
