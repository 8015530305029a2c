"""How much ground a hole took, as a box."""


def hole_volume_ml(length_mm: int | None, width_mm: int | None, depth_mm: int | None) -> int | None:
    """Length × width × depth in millilitres; None when a side isn't known.

    A hole with sloping sides holds less than its box.
    """
    if length_mm is None or width_mm is None or depth_mm is None:
        return None
    return length_mm * width_mm * depth_mm // 1000
