"""Whose attempts are counted: the visitor's own address, never one that a visitor could have written."""

from ipaddress import ip_network
from typing import Any

import pytest
from django.test import RequestFactory

from coordination.console.checks import attempts_are_counted_by_visitor
from coordination.web.network_address import address_of

INNER, OUTER, VISITOR, CLAIMED = "10.0.0.7", "192.0.2.10", "203.0.113.5", "198.51.100.1"


@pytest.mark.parametrize(
    ("trusted", "remote", "forwarded", "counted"),
    [
        ([], VISITOR, "", VISITOR),
        ([], VISITOR, CLAIMED, VISITOR),
        ([INNER], INNER, VISITOR, VISITOR),
        ([INNER], INNER, f"{CLAIMED}, {VISITOR}", VISITOR),
        ([INNER], VISITOR, CLAIMED, VISITOR),
        (["10.0.0.0/24", OUTER], INNER, f"{CLAIMED}, {VISITOR}, {OUTER}", VISITOR),
        ([INNER], INNER, "", INNER),
        ([INNER], INNER, "unknown", INNER),
        ([INNER], INNER, f"{VISITOR}, ", INNER),
        (["2001:db8::/32"], "2001:db8::1", "2001:db9::5", "2001:db9::5"),
        ([INNER, VISITOR], INNER, VISITOR, VISITOR),
        ([INNER], "", VISITOR, ""),
    ],
)
def test_only_our_own_proxies_are_believed(
    settings: Any, trusted: list[str], remote: str, forwarded: str, counted: str
) -> None:
    settings.TRUSTED_PROXIES = [ip_network(text) for text in trusted]
    more = {"X-Forwarded-For": forwarded} if forwarded else {}
    assert address_of(RequestFactory().get("/", REMOTE_ADDR=remote, headers=more)) == counted


@pytest.mark.parametrize(
    ("https", "trusted", "ids"),
    [
        (False, [], []),
        (True, [], ["console.W003"]),
        (True, [INNER], []),
        (True, [INNER, "0.0.0.0/0"], ["console.W004"]),
        (False, ["::/0"], ["console.W004"]),
    ],
)
def test_a_deployment_is_told(settings: Any, https: bool, trusted: list[str], ids: list[str]) -> None:
    settings.HTTPS, settings.TRUSTED_PROXIES = https, [ip_network(text) for text in trusted]
    found = attempts_are_counted_by_visitor()
    assert ([message.id for message in found], all(message.hint for message in found)) == (ids, True)


def test_behind_a_proxy_one_visitor_does_not_use_up_the_attempts_of_another(
    db: Any, client: Any, settings: Any
) -> None:
    settings.TRUSTED_PROXIES = [ip_network("127.0.0.1")]
    statuses = [
        client.get(f"/l/no-such-{n}", headers={"X-Forwarded-For": VISITOR}).status_code for n in range(21)
    ]
    other = client.get("/l/no-such", headers={"X-Forwarded-For": OUTER}).status_code
    assert (statuses, other) == ([404] * 20 + [429], 404)
