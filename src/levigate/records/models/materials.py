"""Own materials, each saved text of them, and values measured at this bench."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from levigate.records.models.kept import Kept


class OwnMaterial(models.Model):
    """A material of one's own, or what one adds to one of the catalogue. What it says stands in its texts."""

    key = models.CharField(max_length=200, unique=True)
    created = models.DateTimeField(auto_now_add=True)
    #: Set when it is put away: formulas that name it still find it.
    put_away = models.BooleanField(default=False)
    #: One's own words about it.
    note = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["key"]

    def __str__(self) -> str:
        return self.key

    @property
    def text(self) -> str:
        """The latest text; empty where there is none yet."""
        latest = self.texts.order_by("-number").first()
        return latest.text if latest is not None else ""


class MaterialText(Kept):
    """One saved state of an own material: its table of a shelf file (TOML), without the header."""

    material = models.ForeignKey(OwnMaterial, models.PROTECT, related_name="texts")
    number = models.PositiveIntegerField()
    text = models.TextField()
    why = models.CharField(max_length=500, blank=True)

    class Meta(Kept.Meta):
        verbose_name = "saved text of a material"
        ordering: ClassVar = ["material", "number"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["material", "number"], name="one_text_a_number")]

    def __str__(self) -> str:
        return f"{self.material}, text {self.number}"


class Measured(Kept):
    """A value of a material that was measured at this bench. A correction names the one it takes the place of."""

    material = models.CharField(max_length=200, db_index=True)
    #: A property of the material record, as ``density``.
    name = models.CharField(max_length=40)
    #: As a person writes it, with its unit.
    value = models.CharField(max_length=100)
    spread = models.CharField(max_length=100, blank=True)
    at_temperature = models.CharField(max_length=40, blank=True)
    how = models.CharField(max_length=500, blank=True)
    on = models.DateField()
    lot = models.ForeignKey("records.Lot", models.PROTECT, null=True, blank=True, related_name="measured")
    corrects = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="corrected_by")
    why = models.CharField(max_length=500, blank=True)

    class Meta(Kept.Meta):
        verbose_name = "measured value"
        ordering: ClassVar = ["material", "name", "at"]

    def __str__(self) -> str:
        return f"{self.name} of {self.material}: {self.value}"
