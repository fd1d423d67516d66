import uuid

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("files", "0001_blobs"),
        ("gates", "0001_handoffs_and_clearings"),
    ]

    operations = [
        migrations.CreateModel(
            name="AnswerPhoto",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("file_name", models.CharField(blank=True, max_length=200)),
                ("image", models.JSONField(default=dict, help_text="What the picture says of itself.")),
                ("taken_at", models.DateTimeField(blank=True, null=True)),
            ],
        ),
        migrations.CreateModel(
            name="AnswerPhotoCopy",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("size", models.PositiveIntegerField(help_text="Longest side in pixels that was asked for.")),
                ("width", models.PositiveIntegerField()),
                ("height", models.PositiveIntegerField()),
            ],
        ),
        migrations.AddField(
            model_name="answer",
            name="instead_of",
            field=models.CharField(blank=True, help_text="Who had not answered.", max_length=120),
        ),
        migrations.AddField(
            model_name="answer",
            name="way",
            field=models.CharField(
                choices=[
                    ("answered", "answered"),
                    ("for the silent", "for the silent"),
                    ("by beginning", "by beginning"),
                ],
                default="answered",
                max_length=16,
            ),
        ),
        migrations.AddConstraint(
            model_name="answer",
            constraint=models.CheckConstraint(
                condition=models.Q(("way", "answered"), ("outcome", "accepted"), _connector="OR"),
                name="only_the_receiver_refuses",
                violation_error_message="Only the receiver itself refuses.",
            ),
        ),
        migrations.AddConstraint(
            model_name="answer",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("entered_for", ""),
                        ("way", "for the silent"),
                        models.Q(("instead_of", ""), _negated=True),
                        models.Q(("reasons", []), _negated=True),
                    ),
                    models.Q(models.Q(("way", "for the silent"), _negated=True), ("instead_of", "")),
                    _connector="OR",
                ),
                name="an_acceptance_for_the_silent_says_for_whom_and_why",
                violation_error_message="Say for whom it is accepted, and why.",
            ),
        ),
        migrations.AddField(
            model_name="answerphoto",
            name="answer",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to="gates.answer"
            ),
        ),
        migrations.AddField(
            model_name="answerphoto",
            name="blob",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to="files.blob"
            ),
        ),
        migrations.AddField(
            model_name="answerphotocopy",
            name="blob",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to="files.blob"
            ),
        ),
        migrations.AddField(
            model_name="answerphotocopy",
            name="photo",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to="gates.answerphoto"
            ),
        ),
        migrations.AddConstraint(
            model_name="answerphoto",
            constraint=models.UniqueConstraint(fields=("answer", "blob"), name="one_photo_once_per_answer"),
        ),
        migrations.AddConstraint(
            model_name="answerphotocopy",
            constraint=models.UniqueConstraint(fields=("photo", "size"), name="one_copy_per_photo_and_size"),
        ),
    ]
