"""Batches: one making of one version, what was weighed, and what it was filled into."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from levigate.records.models.formulas import Version
from levigate.records.models.kept import Kept
from levigate.records.models.lots import Lot

#: From planned to put on the shelf, or thrown away.
STATES = ("planned", "weighing", "made", "filled", "released", "held", "discarded")


class Batch(models.Model):
    """One making of one version."""

    code = models.CharField(max_length=40, unique=True)
    version = models.ForeignKey(Version, models.PROTECT, related_name="batches")
    state = models.CharField(max_length=12, default="planned", db_index=True)
    created = models.DateTimeField(auto_now_add=True)
    #: How much is made, as a person writes it.
    makes = models.CharField(max_length=60)
    #: Resolution of the scale. [g]
    scale = models.DecimalField(max_digits=9, decimal_places=4)
    #: What it is to be filled into, as a person writes it.
    container = models.CharField(max_length=200, blank=True)
    #: Share lost in vessel and samples. [1]
    loss = models.DecimalField(max_digits=6, decimal_places=4, default=0)
    #: Whether the readings run on in one vessel ("running") or each line is tared ("each").
    tare = models.CharField(max_length=8, default="each")
    #: Bulk that was weighed out at the end. [g]
    bulk_grams = models.DecimalField(max_digits=14, decimal_places=4, null=True, blank=True)
    #: Kept back. [g]
    retained_grams = models.DecimalField(max_digits=14, decimal_places=4, null=True, blank=True)
    best_before = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["-created"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=models.Q(state__in=STATES), name="a_batch_is_in_a_known_state")
        ]

    def __str__(self) -> str:
        return self.code


class BatchLine(models.Model):
    """One line to weigh. Its target moves only when the rest is scaled up after an over-poured line."""

    batch = models.ForeignKey(Batch, models.CASCADE, related_name="lines")
    position = models.PositiveIntegerField()
    phase = models.CharField(max_length=8)
    material = models.CharField(max_length=200)
    #: As in the formula. [%]
    percent = models.DecimalField(max_digits=12, decimal_places=8)
    #: As planned. [g]
    planned = models.DecimalField(max_digits=14, decimal_places=4)
    #: As it is asked for now. [g]
    target = models.DecimalField(max_digits=14, decimal_places=4)
    lot = models.ForeignKey(Lot, models.PROTECT, null=True, blank=True, related_name="planned")
    #: What had been weighed when it was said to leave it so, short or over; None where nobody did. [g]
    left_at = models.DecimalField(max_digits=14, decimal_places=4, null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["batch", "position"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["batch", "position"], name="one_line_a_position")]

    def __str__(self) -> str:
        return f"{self.batch}: {self.material}"


class Weighing(Kept):
    """One reading of the scale. A correction names the reading it takes the place of, and says why."""

    line = models.ForeignKey(BatchLine, models.PROTECT, related_name="weighings")
    lot = models.ForeignKey(Lot, models.PROTECT, null=True, blank=True, related_name="weighings")
    #: What went into the batch; negative where some was taken out again. [g]
    grams = models.DecimalField(max_digits=14, decimal_places=4)
    #: Made by the device that weighs: the same reading sent twice is kept once.
    key = models.UUIDField(unique=True)
    corrects = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="corrected_by")
    why = models.CharField(max_length=500, blank=True)
    who = models.CharField(max_length=80, blank=True)

    class Meta(Kept.Meta):
        ordering: ClassVar = ["line", "at", "id"]

    def __str__(self) -> str:
        return f"{self.grams} g of {self.line.material}"


class BatchEvent(Kept):
    """A step in the life of a batch."""

    batch = models.ForeignKey(Batch, models.PROTECT, related_name="events")
    state = models.CharField(max_length=12)
    note = models.CharField(max_length=1000, blank=True)
    who = models.CharField(max_length=80, blank=True)

    class Meta(Kept.Meta):
        verbose_name = "step of a batch"
        ordering: ClassVar = ["batch", "at", "id"]

    def __str__(self) -> str:
        return f"{self.batch}: {self.state}"


class Fill(models.Model):
    """Putting the bulk of a batch into containers of one kind."""

    batch = models.ForeignKey(Batch, models.PROTECT, related_name="fills")
    container = models.CharField(max_length=200)
    #: What the label says: a mass or a volume, as a person writes it.
    nominal = models.CharField(max_length=40)
    #: Mass of it. [g]
    grams = models.DecimalField(max_digits=14, decimal_places=4)
    #: Empty container with its closure, where it is weighed with it. [g]
    tare = models.DecimalField(max_digits=14, decimal_places=4, default=0)
    created = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["batch", "created"]

    def __str__(self) -> str:
        return f"{self.batch}: {self.container}"


class Jar(models.Model):
    """One filled container, with the code that stands on it."""

    fill = models.ForeignKey(Fill, models.PROTECT, related_name="jars")
    code = models.CharField(max_length=60, unique=True)

    class Meta:
        ordering: ClassVar = ["fill", "code"]

    def __str__(self) -> str:
        return self.code


class FillWeight(Kept):
    """The net weight of one filled container."""

    jar = models.ForeignKey(Jar, models.PROTECT, related_name="weights")
    grams = models.DecimalField(max_digits=14, decimal_places=4)
    key = models.UUIDField(unique=True)
    corrects = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="corrected_by")
    why = models.CharField(max_length=500, blank=True)

    class Meta(Kept.Meta):
        verbose_name = "fill weight"
        ordering: ClassVar = ["jar", "at", "id"]

    def __str__(self) -> str:
        return f"{self.jar}: {self.grams} g"
