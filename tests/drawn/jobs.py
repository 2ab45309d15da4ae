"""What goes wrong with a refrigerator and what a shop does about it, as codes with weights. Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Job:
    """One kind of visit. event: "condemned", "component", "nothing found" or "sent on". item is "" where no item is at fault."""

    event: str
    weight: float
    finding: str
    item: str
    action: str
    symptoms: dict[str, float]


NO_COOL = {"SYM_NOCOOL": 6, "SYM_WEAK": 3, "SYM_SLOW": 1, "SYM_HOTAMB": 1}
LEAK = {"SYM_AMMONIA": 5, "SYM_RESIDUE": 2, "SYM_NOCOOL": 3}
ELECTRIC = {"SYM_NOCOOL_AC": 5, "SYM_WEAK": 1, "SYM_NOCOOL": 1}
GAS = {"SYM_NOCOOL_LP": 4, "SYM_NOLIGHT": 3, "SYM_FLAMEOUT": 2}
FLAME = {"SYM_BADFLAME": 3, "SYM_NOCOOL_LP": 3, "SYM_WEAK": 1}
POWER = {"SYM_PANEL": 5, "SYM_NOCOOL": 2, "SYM_ERRCODE": 1}

JOBS = (
    Job("condemned", 5, "FND_CU_LEAK", "CU", "ACT_CU_SWAP", LEAK),
    Job("condemned", 5, "FND_CU_BLOCK", "CU", "ACT_CU_SWAP", NO_COOL | {"SYM_GURGLE": 1, "SYM_BOXWARM": 1}),
    Job("condemned", 3, "FND_CU_WEAK", "CU", "ACT_CU_SWAP", NO_COOL),
    Job("condemned", 9, "FND_CU_BAD", "CU", "ACT_CU_SWAP", NO_COOL),
    Job("component", 7, "FND_HE_OPEN", "HE_AC", "ACT_HE_REPL", ELECTRIC),
    Job("component", 2, "FND_HE_SHORT", "HE_AC", "ACT_HE_REPL", {"SYM_TRIP": 5, "SYM_NOCOOL_AC": 1}),
    Job("component", 2, "FND_DC_OPEN", "HE_DC", "ACT_DC_REPL", {"SYM_NOCOOL_DC": 1}),
    Job("component", 6, "FND_LP_BURNER", "LP_BURNER", "ACT_LP_SERVICE", GAS | FLAME),
    Job("component", 4, "FND_LP_JET", "LP_JET", "ACT_LP_JET", GAS),
    Job("component", 4, "FND_LP_TC", "LP_FLAMESENSE", "ACT_LP_TC", {"SYM_FLAMEOUT": 5, "SYM_NOCOOL_LP": 2}),
    Job("component", 4, "FND_LP_SPARK", "LP_IGNITER", "ACT_LP_IGN", {"SYM_NOLIGHT": 5, "SYM_ERRCODE": 1}),
    Job("component", 2, "FND_LP_VALVE", "LP_VALVE", "ACT_LP_VALVE", GAS),
    Job("component", 2, "FND_LP_PLOW", "LP_REG", "ACT_LP_REG", FLAME | GAS),
    Job("component", 5, "FND_CT_BOARD", "CT_BOARD", "ACT_CT_BOARD", POWER | {"SYM_INTERMIT": 2, "SYM_OVERCOOL": 1}),
    Job("component", 2, "FND_CT_DISPLAY", "CT_DISPLAY", "ACT_CT_DISPLAY", POWER),
    Job("component", 3, "FND_CT_SENSOR", "CT_SENSOR", "ACT_CT_SENSOR", {"SYM_OVERCOOL": 3, "SYM_WEAK": 2, "SYM_INTERMIT": 1}),
    Job("component", 1, "FND_CT_TSTAT", "CT_TSTAT", "ACT_CT_TSTAT", {"SYM_OVERCOOL": 2, "SYM_NOCOOL": 1}),
    Job("component", 3, "FND_EL_FUSE", "EL_FUSE", "ACT_EL_FUSE", POWER),
    Job("component", 3, "FND_EL_WIRE", "EL_WIRE", "ACT_EL_WIRE", POWER | {"SYM_INTERMIT": 3}),
    Job("component", 2, "FND_EL_DC", "EL_DC", "ACT_EL_DC", POWER | {"SYM_NOCOOL_DC": 2}),
    Job("component", 3, "FND_CB_GASKET", "CB_GASKET", "ACT_CB_GASKET", {"SYM_DOOR": 2, "SYM_FROST": 2, "SYM_WEAK": 2}),
    Job("component", 3, "FND_FN_REAR", "FN_REAR", "ACT_FN_REPL", {"SYM_FANNOISE": 2, "SYM_HOTAMB": 3, "SYM_WEAK": 1}),
    Job("component", 2, "FND_VN_FLUE", "VN_FLUE", "ACT_LP_SERVICE", FLAME),
    Job("component", 2, "FND_VN_VENT", "VN_VENT", "ACT_VN_FIX", {"SYM_HOTAMB": 3, "SYM_WEAK": 2}),
    Job("component", 2, "FND_FR_DOOR", "FRIDGE_DOOR", "ACT_FR_DOOR", {"SYM_DOOR": 1}),
    Job("nothing found", 7, "FND_NFF", "", "ACT_NONE", NO_COOL | {"SYM_INTERMIT": 3, "SYM_NOCOOL_AC": 1}),
    Job("nothing found", 2, "FND_OP_LEVEL", "OP_LEVEL", "ACT_OP_LEVEL", NO_COOL),
    Job("nothing found", 2, "FND_OP_USE", "OP_USE", "ACT_OP_ADVISE", NO_COOL),
    Job("nothing found", 1, "FND_OP_LOAD", "OP_USE", "ACT_OP_ADVISE", {"SYM_WEAK": 2, "SYM_SLOW": 2}),
    Job("sent on", 2, "FND_CU_BAD", "CU", "ACT_SENT_ON", NO_COOL),
)

PLANNED = {"age policy": 4.0, "recall": 3.0, "upgrade": 1.0, "request": 1.0}
"""Reasons of an exchange without a fault, with weights."""

FITTED = {"new": 4.0, "reconditioned": 4.0, "used, tested healthy": 1.0, "unknown": 3.0}
"""Origins of the unit fitted, with weights."""

SWAPS = {"new": "ACT_CU_SWAP_NEW", "reconditioned": "ACT_CU_SWAP_RECON", "used, tested healthy": "ACT_CU_SWAP_USED", "unknown": "ACT_CU_SWAP"}
"""The action that the text names, by origin of the unit fitted."""
