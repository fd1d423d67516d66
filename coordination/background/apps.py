from django.apps import AppConfig


class BackgroundConfig(AppConfig):
    name = "coordination.background"
    label = "background"
    default_auto_field = "django.db.models.BigAutoField"
