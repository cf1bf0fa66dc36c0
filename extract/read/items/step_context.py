"""A clause and what stands around it: what each form of a step looks at, and how it makes the step."""

from dataclasses import dataclass

from spacy.tokens import Doc

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.places import has_verb
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.things import Things


@dataclass(frozen=True, slots=True)
class StepContext:
    """``clause`` of ``sentence`` in ``talk``; ``things`` tells what "it" means there."""

    talk: Talk
    sentence: Sentence
    clause: Clause
    things: Things

    @property
    def doc(self) -> Doc:
        """The words of the talk."""
        return self.talk.doc

    @property
    def body(self) -> int:
        """The token at which the point of the clause begins."""
        return self.clause.body

    @property
    def end(self) -> int:
        """The token behind the clause."""
        return self.clause.end

    @property
    def following(self) -> tuple[Clause, ...]:
        """The clauses of the sentence behind this one."""
        return tuple(c for c in self.sentence.clauses if c.start >= self.clause.end)

    @property
    def is_verbless(self) -> bool:
        """Whether the clause only names: "two chocks on the front axle"."""
        return not has_verb(self.talk, self.body, self.end)

    @property
    def text(self) -> str:
        """The clause in plain words, without what leads up to its point."""
        return self.talk.tape(self.body, self.end).text

    def step(self, act: float, why: str, **fields: str | None) -> Found:
        """The step that the clause says; ``fields`` are its action and object, its place and tool where told."""
        told = {"place": None, "tool": None, **fields}
        return Found("step", self.clause.start, self.clause.end, self.clause.line, told, act, (why,))
