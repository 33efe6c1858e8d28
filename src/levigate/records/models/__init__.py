"""The records. What is kept once for all is `Kept`: neither the model nor the database lets it be changed."""

from levigate.records.models.batches import Batch, BatchEvent, BatchLine, Fill, FillWeight, Jar, Weighing
from levigate.records.models.formulas import Draft, DraftState, Formula, Version
from levigate.records.models.kept import Kept
from levigate.records.models.lots import Lot, StockCorrection
from levigate.records.models.materials import MaterialText, Measured, OwnMaterial
from levigate.records.models.workshop import Attached, Attachment, Journal, Preference, Token

__all__ = [
    "Attached",
    "Attachment",
    "Batch",
    "BatchEvent",
    "BatchLine",
    "Draft",
    "DraftState",
    "Fill",
    "FillWeight",
    "Formula",
    "Jar",
    "Journal",
    "Kept",
    "Lot",
    "MaterialText",
    "Measured",
    "OwnMaterial",
    "Preference",
    "StockCorrection",
    "Token",
    "Version",
    "Weighing",
]
