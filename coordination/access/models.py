"""Who may come in: people, companies, projects as tenants, memberships and links."""

import uuid

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q

from coordination.record.models import Event

ROLES = ("coordinator", "contractor", "lift crew", "subcontractor", "owner", "inspector")


class Supplier(models.Model):
    """A lift supplier: the tenant. Nothing crosses from one to another."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    name = models.CharField(max_length=120)

    def __str__(self) -> str:
        return self.name


class People(BaseUserManager["Person"]):
    """Makes people without passwords: they sign in with a link that was mailed to them."""

    def create_person(self, email: str, *, name: str, phone: str = "", language: str = "en-us") -> "Person":
        person = self.model(
            email=self.normalize_email(email).lower(), name=name, phone=phone, language=language
        )
        person.set_unusable_password()
        person.save(using=self._db)
        return person

    def get_by_natural_key(self, username: str | None) -> "Person":
        return self.get(email=(username or "").lower())


class Person(AbstractBaseUser):
    """Somebody with an account: coordinators, general contractors, lift mechanics."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    email = models.EmailField(unique=True)
    name = models.CharField(max_length=120)
    phone = models.CharField(max_length=40, blank=True)
    language = models.CharField(max_length=8, default="en-us")
    is_active = models.BooleanField(default=True)

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS = ["name"]
    objects = People()

    def __str__(self) -> str:
        return self.name


class Company(models.Model):
    """The firm that does a trade's work; known to one supplier."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    phone = models.CharField(max_length=40, blank=True)
    contact = models.CharField(max_length=120, blank=True)
    email = models.EmailField(blank=True)
    signs_in = models.BooleanField(default=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["supplier", "name"], name="one_company_of_a_name_per_supplier")
        ]

    def __str__(self) -> str:
        return self.name


class Project(models.Model):
    """One lift in one building."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    place = models.CharField(max_length=200, blank=True)
    zone = models.CharField(max_length=64, default="UTC")
    code_set = models.CharField(max_length=8, default="us")
    stage = models.CharField(
        max_length=16, default="running", choices=[("running", "running"), ("handed over", "handed over")]
    )
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return self.name

    @property
    def stream(self) -> str:
        """The name of this project's chain in the record."""
        return str(self.uid)


class Membership(models.Model):
    """A person's standing on a project in one role. Subcontractors and lift crews name their trade."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=16, choices=[(role, role) for role in ROLES])
    trade = models.CharField(max_length=32, blank=True)
    deputy = models.BooleanField(default=False)
    left_at = models.DateTimeField(null=True, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["project", "person", "role", "trade"],
                condition=Q(left_at__isnull=True),
                name="one_standing_membership_per_role",
                violation_error_message="This person already stands on the project in this role.",
            ),
            models.CheckConstraint(
                condition=~Q(role="subcontractor", trade=""),
                name="a_subcontractor_names_a_trade",
                violation_error_message="A subcontractor needs a trade.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} ({self.role})"


class Assignment(models.Model):
    """Which company does a trade's work on a project. One stands per trade; earlier ones end."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    trade = models.CharField(max_length=32)
    company = models.ForeignKey(Company, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["project", "trade"],
                condition=Q(ended_at__isnull=True),
                name="one_company_per_trade",
                violation_error_message="This trade already has a company.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.trade}: {self.company}"


class ShareLink(models.Model):
    """An unguessable address for somebody without an account. Only the token's SHA-256 is kept.

    A calendar's address opens dates and nothing else. With a person it lasts as long as they stand where they
    stood when they asked for it; ``through`` is the link by which somebody without an account asked. ``language`` is
    that of whoever gets it; empty, their phone says. ``used_at`` is the first time that somebody came in by it.
    """

    PURPOSES = ("company tasks", "owner page", "inspection", "sign in", "calendar")

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    token_sha256 = models.CharField(max_length=64, unique=True)
    purpose = models.CharField(max_length=16, choices=[(purpose, purpose) for purpose in PURPOSES])
    project = models.ForeignKey(Project, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    company = models.ForeignKey(Company, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    holder = models.CharField(max_length=120, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    issued_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    used_at = models.DateTimeField(null=True, blank=True)
    last_opened_at = models.DateTimeField(null=True, blank=True)
    times_opened = models.PositiveIntegerField(default=0)
    language = models.CharField(max_length=8, blank=True)
    once = models.BooleanField(default=False)
    through = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    event = models.ForeignKey(Event, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=(
                    Q(purpose="sign in", person__isnull=False)
                    | Q(purpose="company tasks", project__isnull=False, company__isnull=False)
                    | Q(purpose__in=["owner page", "inspection"], project__isnull=False)
                    | Q(purpose="calendar", project__isnull=False, company__isnull=False)
                    | Q(purpose="calendar", project__isnull=True, person__isnull=False)
                ),
                name="a_link_leads_somewhere",
                violation_error_message="A link needs the project, company or person it is for.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.purpose} {self.uid}"


class Attempts(models.Model):
    """How often somebody tried something since a moment; ``key`` is a hash of what and who."""

    key = models.CharField(max_length=64, unique=True)
    since = models.DateTimeField()
    count = models.PositiveIntegerField(default=0)

    class Meta:
        verbose_name_plural = "attempts"

    def __str__(self) -> str:
        return f"{self.count} since {self.since}"
