"""Reading: a transcript in, a draft out. The same transcript and packs give the same bytes.

The stations, in order: kept words → tags, sentence borders, parse, clauses (one spaCy pipeline) → values → mentions →
roles and topics → items of each kind → sizes tied to steps → repeats folded → procedure order → questions.
"""

from importlib import metadata

from spacy.tokens import Doc

from vouchbook.extract.packs.vocabulary import Vocabulary
from vouchbook.extract.read.build import item, question
from vouchbook.extract.read.fold import folded
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.cues import cues
from vouchbook.extract.read.items.locations import locations
from vouchbook.extract.read.items.steps import steps
from vouchbook.extract.read.items.tools import tie, tools
from vouchbook.extract.read.items.warnings import warnings
from vouchbook.extract.read.language import MODEL, load_language, make_doc
from vouchbook.extract.read.mentions import Lexicon, mentions
from vouchbook.extract.read.order import in_procedure_order
from vouchbook.extract.read.questions.borrowed import borrowed
from vouchbook.extract.read.questions.conflicts import conflicts
from vouchbook.extract.read.questions.doubts import doubts
from vouchbook.extract.read.questions.pointers import pointers
from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.questions.uncovered import uncovered
from vouchbook.extract.read.questions.unheard import unheard
from vouchbook.extract.read.roles import asking_lines, asks
from vouchbook.extract.read.smalltalk import chatter_lines
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.topics import firmly_spoken_for, item_topic, line_topics
from vouchbook.extract.read.undisputed import undisputed
from vouchbook.extract.read.values import values
from vouchbook.models.draft import Draft, ReadBy
from vouchbook.models.transcript import Transcript


class Reader:
    """A language model and a vocabulary, made ready once for any number of transcripts."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._language = load_language()
        self._lexicon = Lexicon(vocabulary)
        self._read_by = ReadBy(vouchbook=metadata.version("vouchbook"), language_model=MODEL, packs=vocabulary.packs)

    def read(self, transcript: Transcript, subject: str = "") -> Draft:
        """The draft that ``transcript`` gives; an empty transcript gives no items, and a question for each topic."""
        talk = self.understand(transcript)
        topics = line_topics(talk)
        disagreements = list(conflicts(talk))
        ordered = in_procedure_order(talk, undisputed(talk, _items(talk), disagreements))
        placed = [(f, item_topic(talk, topics, f)) for f in ordered]
        raised: list[Raised] = [
            *pointers(talk), *borrowed(talk), *disagreements, *doubts(talk), *unheard(transcript),
            *uncovered(placed, firmly_spoken_for(talk)),
        ]  # fmt: skip
        return Draft(
            subject=subject,
            read_by=self._read_by,
            items=tuple(item(talk, n, f, phase) for n, (f, phase) in enumerate(placed, start=1)),
            open_questions=tuple(question(talk, n, r) for n, r in enumerate(raised, start=1)),
            transcript=transcript,
        )

    def understand(self, transcript: Transcript) -> Talk:
        """All layers below the items: what was said, cut, valued and named."""
        doc = make_doc(self._language, transcript)
        sentences = _sentences(doc)
        talk = Talk(
            transcript=transcript,
            doc=doc,
            values=values([word.text for word in transcript.words], _changes_of_voice(transcript)),
            mentions=mentions(doc, self._lexicon),
            sentences=sentences,
            askers=asking_lines(transcript, [(s.line, s.asks) for s in sentences]),
            chatter=frozenset(),
        )
        return talk.with_chatter(chatter_lines(talk))


def _changes_of_voice(transcript: Transcript) -> tuple[int, ...]:
    """The words at which another person begins to speak; nobody corrects what another one said."""
    voices = [word.voice for word in transcript.words]
    return tuple(n for n in range(1, len(voices)) if voices[n] != voices[n - 1])


def _sentences(doc: Doc) -> tuple[Sentence, ...]:
    by_number: dict[int, list] = {}  # type: ignore[type-arg]
    for clause in doc._.clauses:
        by_number.setdefault(clause.sentence, []).append(clause)
    spans = list(doc.sents)
    return tuple(
        Sentence(
            number,
            spans[number].start,
            spans[number].end,
            own[0].line,
            asks(doc, spans[number].start, spans[number].end),
            tuple(own),
        )
        for number, own in by_number.items()
    )


def _items(talk: Talk) -> list[Found]:
    sentence_of = {token: s.number for s in talk.sentences for token in range(s.start, s.end)}
    tied_steps, tied_tools = tie(talk, folded(list(steps(talk))), folded(list(tools(talk))), sentence_of)
    others = [*folded(list(locations(talk))), *folded(list(warnings(talk))), *folded(list(cues(talk)))]
    return [*tied_steps, *tied_tools, *others]
