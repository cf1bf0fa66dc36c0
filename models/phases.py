"""The topics of a walk-through, in the order in which published rescue information (ISO 17840-3) treats them."""

from enum import StrEnum


class Phase(StrEnum):
    """A topic. Its place in this list is its place on every list that people read."""

    IDENTIFY = "identify"
    IMMOBILISE = "immobilise"
    DISABLE = "disable"
    ACCESS = "access"
    STORED_ENERGY = "stored_energy"
    FIRE = "fire"
    SUBMERSION = "submersion"
    TOWING = "towing"
    OTHER = "other"

    @property
    def label(self) -> str:
        """The topic in plain words."""
        return _LABELS[self]


_LABELS = {
    Phase.IDENTIFY: "Recognise it",
    Phase.IMMOBILISE: "Keep it from moving",
    Phase.DISABLE: "Take the energy away",
    Phase.ACCESS: "Get to people and parts",
    Phase.STORED_ENERGY: "Energy that stays behind",
    Phase.FIRE: "Fire",
    Phase.SUBMERSION: "Under water",
    Phase.TOWING: "Moving it afterwards",
    Phase.OTHER: "Also good to know",
}
