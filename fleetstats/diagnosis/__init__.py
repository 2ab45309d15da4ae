"""Which removals were needless: draws of the cause anchored at the bench, shares by shop and by sender."""

from fleetstats.diagnosis.audit import audit_removals
from fleetstats.diagnosis.causes import draw_causes
from fleetstats.diagnosis.senders import audit_senders
from fleetstats.diagnosis.shares import (
    Bounds,
    CauseDraws,
    Funnel,
    FunnelPoint,
    NeedlessShare,
    RemovalAudit,
    SenderAudit,
    SenderShare,
    ShareIf,
    ShopShare,
)

__all__ = [
    "Bounds", "CauseDraws", "Funnel", "FunnelPoint", "NeedlessShare", "RemovalAudit", "SenderAudit", "SenderShare", "ShareIf", "ShopShare",
    "audit_removals", "audit_senders", "draw_causes",
]
