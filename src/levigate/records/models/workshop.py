"""What belongs to the whole workshop: the journal, attached papers, preferences, tokens."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from levigate.records.models.kept import Kept


class Journal(Kept):
    """What was done: one line a change, written together with it."""

    #: What it was done to, as ``lot`` or ``batch``.
    kind = models.CharField(max_length=40, db_index=True)
    #: Key of that.
    subject = models.CharField(max_length=200, db_index=True)
    says = models.CharField(max_length=1000)
    #: Before and after, where something was amended.
    details = models.JSONField(default=dict)
    program = models.CharField(max_length=40)

    class Meta(Kept.Meta):
        verbose_name = "line of the journal"
        ordering: ClassVar = ["-at", "-id"]

    def __str__(self) -> str:
        return self.says


class Attachment(Kept):
    """A paper or picture, kept once under the hash of what is in it."""

    sha256 = models.CharField(max_length=64, unique=True)
    size = models.PositiveBigIntegerField()

    class Meta(Kept.Meta):
        ordering: ClassVar = ["sha256"]

    def __str__(self) -> str:
        return self.sha256


class Attached(models.Model):
    """An attachment put to a lot, a batch, a formula or a material, under a name."""

    attachment = models.ForeignKey(Attachment, models.PROTECT, related_name="uses")
    kind = models.CharField(max_length=40)
    subject = models.CharField(max_length=200)
    name = models.CharField(max_length=200)
    media_type = models.CharField(max_length=100)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["kind", "subject", "name"]
        indexes: ClassVar = [models.Index(fields=["kind", "subject"], name="attached_to")]

    def __str__(self) -> str:
        return self.name


class Preference(models.Model):
    """How one likes it: language, units, decimal mark, light or dark, the scale."""

    name = models.CharField(max_length=40, primary_key=True)
    value = models.CharField(max_length=200)

    def __str__(self) -> str:
        return f"{self.name} = {self.value}"


class Token(models.Model):
    """A stored key for scripts and scales. Only its hash is kept."""

    name = models.CharField(max_length=100)
    sha256 = models.CharField(max_length=64, unique=True)
    created = models.DateTimeField(auto_now_add=True)
    #: Whether it may write weighings.
    writes = models.BooleanField(default=False)
    withdrawn = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["created"]

    def __str__(self) -> str:
        return self.name
