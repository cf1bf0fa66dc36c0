"""Every extension that Vouchbook puts on spaCy's objects, declared once."""

from spacy.tokens import Doc, Token

Token.set_extension("word", default=-1)  # index of the transcript's word that the token is part of
Doc.set_extension("line_of_word", default=())  # index of the transcript's line for each of its words
Doc.set_extension("clauses", default=())  # the Clause records, in order
