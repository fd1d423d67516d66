"""Folders packed for strangers before PDFs had copies hold whole PDFs: their files are let go, their hashes stay.

The row and the record keep the SHA-256 of what was given out; whoever asks again has the folder packed anew.
"""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

PDF = b'"application/pdf"'


def let_go(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    packs = apps.get_model("handover", "Pack").objects
    for pk in packs.filter(originals=False, blob__isnull=False).values_list("pk", flat=True):
        if PDF in bytes(packs.values_list("state", flat=True).get(pk=pk)):
            packs.filter(pk=pk).update(blob=None)


class Migration(migrations.Migration):
    dependencies = [
        ("files", "0004_papers_for_strangers"),
        ("handover", "0004_reports_asked_for_and_signed"),
    ]

    operations = [migrations.RunPython(let_go, migrations.RunPython.noop)]
