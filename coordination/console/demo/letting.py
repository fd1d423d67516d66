"""Letting a reading go that came out wrong: by those who may, or by an authority's document where nobody may."""

from datetime import timedelta
from typing import TYPE_CHECKING

from coordination.console.demo.story import Letting
from coordination.projects.models import Requirement

if TYPE_CHECKING:
    from coordination.console.demo.playing import Player


def let_go(player: "Player", row: Requirement, letting: Letting) -> None:
    """Everybody who may speaks for it; else the contractor attaches the variance."""
    if letting.document is None:
        for role in row.concede:
            player.hands.concede(
                player.troupe.as_role(role, player.now),
                player.tick(),
                row,
                reason=letting.reason,
                scope=letting.scope,
                quantity=letting.quantity,
            )
        return
    player.hands.vary(
        player.troupe.as_role("contractor", player.now),
        player.tick(),
        row,
        letting.document,
        dated=player.now.date() - timedelta(days=letting.document.days),
        reason=letting.reason,
        scope=letting.scope,
    )
