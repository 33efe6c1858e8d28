"""Lots: deliveries of a material, and what is left of each."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from levigate.records.models.kept import Kept


class Lot(models.Model):
    """One delivery of a material. What is said of it may be amended, each time with a line in the journal."""

    material = models.CharField(max_length=200, db_index=True)
    number = models.CharField(max_length=100)
    supplier = models.CharField(max_length=200, blank=True)
    received = models.DateField()
    opened = models.DateField(null=True, blank=True)
    best_before = models.DateField(null=True, blank=True, db_index=True)
    #: How much came. [g]
    grams = models.DecimalField(max_digits=14, decimal_places=4)
    pack = models.CharField(max_length=100, blank=True)
    #: As one pays it, "12 EUR/kg".
    price = models.CharField(max_length=60, blank=True)
    note = models.TextField(blank=True)
    created = models.DateTimeField(auto_now_add=True)
    #: Used up, thrown away or sent back: no longer offered at the bench.
    closed = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["material", "best_before", "received"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["material", "number", "received"], name="one_lot_a_delivery"),
            models.CheckConstraint(condition=models.Q(grams__gt=0), name="a_lot_holds_something"),
        ]

    def __str__(self) -> str:
        return f"{self.material}, lot {self.number}"


class StockCorrection(Kept):
    """So much more, or less, than the weighings say: spilt, given away, counted again."""

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="corrections")
    #: Added to the stock; negative takes away. [g]
    grams = models.DecimalField(max_digits=14, decimal_places=4)
    why = models.CharField(max_length=500)

    class Meta(Kept.Meta):
        verbose_name = "stock correction"
        ordering: ClassVar = ["lot", "at"]

    def __str__(self) -> str:
        return f"{self.lot}: {self.grams} g"
