"""Words of the records that pages translate as they find them."""

from __future__ import annotations

from django.utils.translation import gettext_noop as _

#: State of a batch, as it stands on record.
STATES = (
    _("planned"),
    _("weighing"),
    _("made"),
    _("filled"),
    _("released"),
    _("held"),
    _("discarded"),
)
