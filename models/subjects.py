"""The machine that a visit is about."""

from typing import Annotated, Self

from pydantic import Field, StringConstraints, model_validator

from vouchbook.models.record import Record

Name = Annotated[str, StringConstraints(strip_whitespace=True, max_length=120, pattern=r"^[^\x00-\x1f\x7f]*$")]


class Subject(Record):
    """One kind of machine. ``maker`` and ``model`` are empty where nobody knows them.

    ``years_from`` and ``years_to`` are the first and last model year that it stands for; None has no limit on that
    side. ``energy`` is what drives it ("battery", "diesel", "mains"), None where nobody said.
    """

    kind: Annotated[Name, Field(min_length=1)]
    maker: Name = ""
    model: Name = ""
    years_from: int | None = Field(default=None, ge=1800, le=2200)
    years_to: int | None = Field(default=None, ge=1800, le=2200)
    energy: Annotated[Name, Field(min_length=1)] | None = None

    @model_validator(mode="after")
    def _years_go_up(self) -> Self:
        if self.years_from is not None and self.years_to is not None and self.years_to < self.years_from:
            raise ValueError(f"the years go from {self.years_from} to {self.years_to}")
        return self

    def __str__(self) -> str:
        """As people name it: ``Kestrel Dart 2018 to 2022 (battery)``."""
        parts = [self.maker, self.model] if self.maker or self.model else [self.kind]
        years = [str(year) if year is not None else "" for year in (self.years_from, self.years_to)]
        if any(years):
            parts.append(years[0] if years[0] == years[1] else f"{years[0]} to {years[1]}".strip())
        return " ".join(part for part in parts if part) + (f" ({self.energy})" if self.energy else "")
