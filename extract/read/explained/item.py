"""What made an item."""

from collections.abc import Mapping, Sequence

from vouchbook.extract.packs.schema import Pack
from vouchbook.extract.read.build import doubted_in, is_repaired
from vouchbook.extract.read.confidence import confidence_changes
from vouchbook.extract.read.explained.entries import differences, item_today, ties_differ
from vouchbook.extract.read.explained.records import Adjusted, ItemExplained, TiedTo, TopicFrom
from vouchbook.extract.read.explained.tellings import near_misses, rivals, telling
from vouchbook.extract.read.explained.words import shares_over, tokens_in, words_of
from vouchbook.extract.read.found import Found, Placed, Tie
from vouchbook.extract.read.topics import by_custom, line_topics
from vouchbook.extract.read.workings import Workings
from vouchbook.extract.tagger.card import DEED
from vouchbook.models.draft import Draft
from vouchbook.models.items import Item
from vouchbook.models.phases import Phase

_OVER_ALL: Mapping[str, tuple[str, ...]] = {"warning": ("hazard", "signal")}
"""The tagger's questions about the words of an item as a whole."""


def explained_item(
    workings: Workings, today: Draft, draft: Draft, stored: Item, packs: Sequence[Pack]
) -> ItemExplained:
    """What made ``stored``, an item of ``draft``, by ``workings`` of its transcript, of which ``today`` is made."""
    now = item_today(stored, today)
    if now is None:
        return _not_made(workings, stored, packs)
    placed = workings.items[today.items.index(now)]
    found, talk = placed.found, workings.talk
    of_kind = workings.weighed.get(now.kind)
    repaired, unsure = is_repaired(talk, found), doubted_in(talk, found)
    changes = confidence_changes(found, now.evidence, talk.transcript, is_repaired=repaired, unsure=unsure)
    return ItemExplained(
        stored=stored,
        today=now,
        differs=(*differences(stored, now), *ties_differ(draft, stored, today, now)),
        sure=found.act,
        tellings=tuple(telling(talk, of_kind, place) for place in found.weighed) if of_kind else (),
        adjusted=tuple(Adjusted(why=change.why, score=change.score) for change in changes),
        not_chosen=tuple(telling(talk, of_kind, n) for n in rivals(of_kind, found.weighed)) if of_kind else (),
        over_all=_over_all(workings, found),
        topic=_topic(workings, placed),
        guards=_tied(today, placed.guards),
        instead_of=_tied(today, placed.branch.instead_of if placed.branch else ()),
        words=words_of(workings, packs, now.evidence, found),
    )


def _tied(today: Draft, ties: Sequence[Tie]) -> tuple[TiedTo, ...]:
    return tuple(TiedTo(step=today.items[tie.step], why=tie.why) for tie in ties)


def _not_made(workings: Workings, stored: Item, packs: Sequence[Pack]) -> ItemExplained:
    """Why today's reading makes no such item: what came nearest to it in its words."""
    own = stored.evidence[0]
    tokens = tokens_in(workings.talk, [(own.first_word, own.last_word)])
    of_kind = workings.weighed.get(stored.kind)
    return ItemExplained(
        stored=stored,
        today=None,
        differs=differences(stored, None),
        sure=None,
        tellings=(),
        adjusted=(),
        not_chosen=tuple(telling(workings.talk, of_kind, n) for n in near_misses(of_kind, tokens)) if of_kind else (),
        over_all={},
        topic=None,
        words=words_of(workings, packs, stored.evidence),
    )


def _over_all(workings: Workings, found: Found) -> dict[str, dict[str, float]]:
    """The tagger's answers about the item as a whole: the hazard of a warning, the plainer verb of a deed."""
    marks = workings.marks
    if marks is None:
        return {}
    told = {head: shares_over(marks, head, found.start, found.end) for head in _OVER_ALL.get(found.kind, ())}
    if found.kind == "step" and found.weighed:
        head = workings.weighed["step"].candidates[found.weighed[0]].head
        told[DEED] = shares_over(marks, DEED, head, head + 1)
    return {head: shares for head, shares in told.items() if shares}


def _topic(workings: Workings, placed: Placed) -> TopicFrom:
    found = placed.found
    shares: dict[Phase, float] = {}
    if workings.marks and found.topic:
        over = shares_over(workings.marks, "phase", found.start, found.end)
        shares = {Phase(name): share for name, share in over.items()}
    custom = by_custom(found)
    line = line_topics(workings.talk)[found.line]
    return TopicFrom(topic=placed.phase, shares=shares, line=line, custom=custom[0] if custom else None)
