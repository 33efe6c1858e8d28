"""What a batch is to be filled into, and lines that are left as they are."""

from __future__ import annotations

from typing import ClassVar

from django.db import migrations, models


class Migration(migrations.Migration):
    """Two words about the making of a batch."""

    dependencies: ClassVar = [("records", "0002_kept")]

    operations: ClassVar = [
        migrations.AddField(
            model_name="batch",
            name="container",
            field=models.CharField(blank=True, max_length=200, default=""),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name="batchline",
            name="left_at",
            field=models.DecimalField(blank=True, decimal_places=4, max_digits=14, null=True),
        ),
    ]
