"""The base of all records: frozen, nothing unknown in them."""

from pydantic import BaseModel, ConfigDict


class Record(BaseModel):
    """A value that never changes; a change is a copy (``model_copy``)."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)
