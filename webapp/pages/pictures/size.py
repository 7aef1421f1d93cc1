"""How large each picture is [in]; read by the pages too, which must not load the drawing library for it."""

COURSE_IN = (6.4, 4.3)
MAP_IN = (6.4, 5.6)
PX_PER_IN = 96


def pixels(inches: tuple[float, float]) -> tuple[int, int]:
    """Give the size that an image element reserves [px]."""
    return round(inches[0] * PX_PER_IN), round(inches[1] * PX_PER_IN)
