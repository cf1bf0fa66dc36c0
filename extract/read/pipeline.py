"""Reading: a transcript in, a draft out. The same transcript and packs give the same bytes.

:meth:`Reader.work_out` is the list of stations, :meth:`Reader.understand` that of the layers below the items.
"""

from collections.abc import Mapping
from importlib import metadata
from itertools import groupby

from spacy.tokens import Doc

from vouchbook.extract.packs.vocabulary import Vocabulary
from vouchbook.extract.read.branches import with_branches
from vouchbook.extract.read.build import item, question
from vouchbook.extract.read.expected import Expectations
from vouchbook.extract.read.fold import folded
from vouchbook.extract.read.found import Found, Placed
from vouchbook.extract.read.guards import with_guards
from vouchbook.extract.read.items.registry import KINDS
from vouchbook.extract.read.items.tool_tying import tied
from vouchbook.extract.read.language import MODEL, load_language, make_doc
from vouchbook.extract.read.marked.chosen import chosen_items, weighed_candidates
from vouchbook.extract.read.marked.features import marks_of
from vouchbook.extract.read.marked.weighing import Weighed
from vouchbook.extract.read.mentions import Lexicon, mentions
from vouchbook.extract.read.order import in_procedure_order
from vouchbook.extract.read.places_corrected import with_places_corrected
from vouchbook.extract.read.questions.conflicts import disputed_values
from vouchbook.extract.read.questions.raised import Findings
from vouchbook.extract.read.questions.registry import MAKERS
from vouchbook.extract.read.roles import asking_lines, asks
from vouchbook.extract.read.smalltalk import chatter_lines
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.topics import item_topic, line_topics
from vouchbook.extract.read.undisputed import undisputed
from vouchbook.extract.read.values import values
from vouchbook.extract.read.workings import Workings
from vouchbook.extract.tagger.marks import Marks
from vouchbook.extract.tagger.tagger import Tagger
from vouchbook.models.draft import Draft, ReadBy
from vouchbook.models.transcript import Transcript


class Reader:
    """A language model and a vocabulary, made ready once for any number of transcripts."""

    def __init__(self, vocabulary: Vocabulary, tagger: Tagger | None) -> None:
        self._language = load_language()
        self._tagger = tagger
        self._lexicon = Lexicon(vocabulary, self._language.tokenizer)
        self._expectations = Expectations(vocabulary, self._language.tokenizer)
        self._read_by = ReadBy(vouchbook=metadata.version("vouchbook"), language_model=MODEL, packs=vocabulary.packs)

    def read(self, transcript: Transcript, subject: str = "") -> Draft:
        """The draft that ``transcript`` gives; an empty transcript gives no items, and a question for each topic."""
        return self.draft(self.work_out(transcript), subject)

    def work_out(self, transcript: Transcript) -> Workings:
        """All that a reading of ``transcript`` finds, and how: what a draft is made of."""
        talk = self.understand(transcript)
        found = by_rules(talk)
        marks: Marks | None = None
        weighed: dict[str, Weighed] = {}
        if self._tagger is not None:
            marks = marks_of(talk, self._tagger, found)
            weighed = weighed_candidates(talk, marks, found, self._tagger.weighing)
            found = {kind: chosen_items(marks, of_kind) for kind, of_kind in weighed.items()}
        items = with_places_corrected(talk, _folded(talk, found))
        items = undisputed(talk, items, disputed_values(talk))
        items = in_procedure_order(talk, items)
        placed = with_guards(talk, with_branches(talk, _placed(talk, items)))
        findings = Findings(talk, placed, marks, self._expectations.of(talk))
        raised = tuple(each for make in MAKERS for each in make(findings))
        return Workings(talk, marks, weighed, placed, raised, findings.expected)

    def draft(self, workings: Workings, subject: str = "") -> Draft:
        """The records of what was worked out."""
        talk = workings.talk
        return Draft(
            subject=subject,
            read_by=self._read_by,
            items=tuple(item(talk, number, each) for number, each in enumerate(workings.items, start=1)),
            open_questions=tuple(question(talk, number, each) for number, each in enumerate(workings.raised, start=1)),
            transcript=talk.transcript,
        )

    def understand(self, transcript: Transcript) -> Talk:
        """All layers below the items: what was said, cut, valued and named, who asks, and what is small talk."""
        doc = make_doc(self._language, transcript)
        sentences = _sentences(doc)
        talk = Talk(
            transcript=transcript,
            doc=doc,
            values=values([word.text for word in transcript.words], _changes_of_voice(transcript)),
            mentions=mentions(doc, self._lexicon),
            sentences=sentences,
            askers=asking_lines(transcript, [(sentence.line, sentence.asks) for sentence in sentences]),
            chatter=frozenset(),
        )
        return talk.with_chatter(chatter_lines(talk))


def _sentences(doc: Doc) -> tuple[Sentence, ...]:
    """The clauses of ``doc`` by sentence; a sentence stands in the line in which its first clause begins."""
    spans, found = list(doc.sents), []
    for number, group in groupby(doc._.clauses, key=lambda clause: clause.sentence):
        start, end, clauses = spans[number].start, spans[number].end, tuple(group)
        found.append(Sentence(number, start, end, clauses[0].line, asks(doc, start, end), clauses))
    return tuple(found)


def _changes_of_voice(transcript: Transcript) -> tuple[int, ...]:
    """The words at which another person begins to speak; nobody corrects what another one said."""
    voices = [word.voice for word in transcript.words]
    return tuple(n for n in range(1, len(voices)) if voices[n] != voices[n - 1])


def by_rules(talk: Talk) -> dict[str, list[Found]]:
    """The items that the rules find, by their kind, in the order in which they are said."""
    return {name: list(kind.make(talk)) for name, kind in KINDS.items()}


def _folded(talk: Talk, of_kinds: Mapping[str, list[Found]]) -> list[Found]:
    """The items of each kind with their repeats folded, sizes and counts tied to what they belong to."""
    found = {name: folded(items, KINDS[name].repeats) for name, items in of_kinds.items()}
    found["step"], found["tool"] = tied(talk, found["step"], found["tool"])
    return [each for items in found.values() for each in items]


def _placed(talk: Talk, ordered: list[Found]) -> tuple[Placed, ...]:
    """The items, each under its topic."""
    topics = line_topics(talk)
    return tuple(Placed(found, found.topic or item_topic(talk, topics, found)) for found in ordered)
