"""What made an entry of a draft: read from the words that the draft itself holds."""

from collections.abc import Sequence

from vouchbook.extract.packs.schema import Pack
from vouchbook.extract.read.explained.item import explained_item
from vouchbook.extract.read.explained.question import explained_question
from vouchbook.extract.read.explained.records import Explained
from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.draft import Draft
from vouchbook.models.items import Item
from vouchbook.models.questions import OpenQuestion


class Explainer:
    """A draft, read again with everything kept that led to its items and questions."""

    def __init__(self, reader: Reader, packs: Sequence[Pack], draft: Draft) -> None:
        """``packs`` are those of the reader's vocabulary; names found in the talk are told with their pack."""
        self._packs = packs
        self._draft = draft
        self._workings = reader.work_out(draft.transcript)
        self._today = reader.draft(self._workings, draft.subject)

    def explain(self, stored: Item | OpenQuestion) -> Explained:
        """What made ``stored``, an entry of the draft, or what is made of its words now."""
        if isinstance(stored, OpenQuestion):
            return explained_question(self._workings, self._today, stored, self._packs)
        return explained_item(self._workings, self._today, self._draft, stored, self._packs)
