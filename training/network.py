"""The network: a pretrained encoder, what the rules know of each word, a recurrent layer, answers."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import torch
from torch import Tensor, nn
from transformers import AutoModel

from vouchbook.extract.tagger.card import Card
from vouchbook.extract.tagger.labels import FEATURES

_FEATURE_WIDTH = 24
_RECURRENT_WIDTH = 192
_DROPPED = 0.2


class Network(nn.Module):
    """Word pieces and features in, scores for each answer of each question out.

    ``ids`` and ``mask``: windows by word pieces; ``firsts``: windows by words, the piece at which each begins;
    ``features``: windows by words by features. Each output is windows by words by answers.
    """

    def __init__(self, encoder: Path, card: Card) -> None:
        super().__init__()
        self.encoder: Any = AutoModel.from_pretrained(encoder, dtype=torch.float32, add_pooling_layer=False)
        width = int(self.encoder.config.hidden_size)
        self.known = nn.ModuleList(nn.Embedding(len(card.feature_values[f]) + 1, _FEATURE_WIDTH) for f in FEATURES)
        self.dropout = nn.Dropout(_DROPPED)
        self.around = nn.GRU(
            width + _FEATURE_WIDTH * len(FEATURES), _RECURRENT_WIDTH, batch_first=True, bidirectional=True
        )
        self.answers = nn.ModuleDict(
            {head: nn.Linear(2 * _RECURRENT_WIDTH + width, len(labels)) for head, labels in card.heads().items()}
        )

    def forward(self, ids: Tensor, mask: Tensor, firsts: Tensor, features: Tensor) -> Mapping[str, Tensor]:
        """The scores; see the class for shapes."""
        pieces = self.encoder(input_ids=ids, attention_mask=mask).last_hidden_state
        words = torch.gather(pieces, 1, firsts.unsqueeze(-1).expand(-1, -1, pieces.size(-1)))
        known = torch.cat([each(features[:, :, n]) for n, each in enumerate(self.known)], -1)
        around, _ = self.around(self.dropout(torch.cat([words, known], -1)))
        seen = self.dropout(torch.cat([around, words], -1))
        return {head: answer(seen) for head, answer in self.answers.items()}
