"""Formulas: a tree of saved versions, and the draft that is being worked on."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from levigate.records.models.kept import Kept


class Formula(models.Model):
    """A formula with all its versions."""

    name = models.CharField(max_length=200)
    #: Word in its address.
    slug = models.SlugField(max_length=80, unique=True)
    created = models.DateTimeField(auto_now_add=True)
    put_away = models.BooleanField(default=False)
    note = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def latest(self) -> Version | None:
        """The version saved last."""
        return self.versions.order_by("-number").first()


class Version(Kept):
    """One saved state of a formula: its file, with the version it grew from."""

    formula = models.ForeignKey(Formula, models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    parent = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="children")
    text = models.TextField()
    note = models.TextField(blank=True)
    #: The program that saved it, so that a figure kept elsewhere can be told from one reckoned anew.
    program = models.CharField(max_length=40)

    class Meta(Kept.Meta):
        ordering: ClassVar = ["formula", "number"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["formula", "number"], name="one_version_a_number")]

    def __str__(self) -> str:
        return f"{self.formula}, version {self.number}"


class Draft(models.Model):
    """What is being worked on, not saved yet: a list of states, of which one is shown."""

    formula = models.OneToOneField(Formula, models.CASCADE, related_name="draft")
    #: The version it grew from; None before the first one is saved.
    base = models.ForeignKey(Version, models.PROTECT, null=True, blank=True)
    #: Number of the state that is shown.
    shown = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"draft of {self.formula}"


class DraftState(models.Model):
    """One state of a draft: undo shows the one before, redo the one after."""

    draft = models.ForeignKey(Draft, models.CASCADE, related_name="states")
    number = models.PositiveIntegerField()
    text = models.TextField()
    #: What was done, as "glycerin to 5 %".
    says = models.CharField(max_length=300)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["draft", "number"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["draft", "number"], name="one_state_a_number")]

    def __str__(self) -> str:
        return self.says
