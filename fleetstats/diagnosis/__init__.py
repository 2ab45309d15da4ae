"""Which removals were needless: draws of the cause anchored at the bench, shares by shop and by sender."""

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

__all__ = ["Bounds", "CauseDraws", "Funnel", "FunnelPoint", "NeedlessShare", "RemovalAudit", "SenderAudit", "SenderShare", "ShareIf", "ShopShare"]
