"""The small job with one trade done by a company that only ever came by a link."""

from coordination.access import actions as access
from coordination.access.models import Company, ShareLink
from tests.gates.sites import Site

NAME, PHONE, LINK_PHONE = "Blue Door Interiors", "555-0190", "+1 555-0191"


def by_link_only(
    site: Site, trade: str, *, email: str = "", language: str = "es"
) -> tuple[Company, ShareLink, str]:
    """The company that does ``trade`` from now on, its link and the token of that."""
    visitor = site.who("coordinator")
    company = access.add_company(
        site.cast.supplier, name=NAME, phone=PHONE, email=email, at=site.step(), actor=visitor.as_actor()
    )
    access.assign_company(site.project, visitor, site.step(), trade=trade, company=company)
    link, token = access.send_link(
        site.project, visitor, site.step(), purpose="company tasks", company=company, phone=LINK_PHONE,
        language=language, days=60,
    )  # fmt: skip
    return company, link, token


def reopened_over_a_link(**more: str) -> tuple[Site, Company, ShareLink, str]:
    """A gate has reopened, and the trade at work behind it came by a link."""
    from coordination.evidence.models import Evidence
    from tests.gates.sites import build

    site = build()
    site.signed()
    site.clear("close-in")
    site.start("board@rail-wall", "other electrician")
    company, link, token = by_link_only(site, "drywall", **more)
    site.withdraw(
        Evidence.objects.get(requirement=site.need("backing@rail-wall#left")), "framer", "wrong wall"
    )
    return site, company, link, token
