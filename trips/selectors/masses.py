"""What a colour of each size weighs, as the party set it."""

from claims.models import Party
from trips.calc.counts import PRIOR_MASSES, ClassMass, ClassMasses


def class_masses(party: Party) -> ClassMasses:
    """The party's own mass per colour, with the spread of the starting values in proportion."""

    def scaled(start: ClassMass, mean_ug: int) -> ClassMass:
        ratio = mean_ug / start.mean_ug
        return ClassMass(mean_ug, start.sd_ug * ratio, start.mean_sd_ug * ratio)

    return ClassMasses(
        coarse=scaled(PRIOR_MASSES.coarse, party.coarse_mass_ug),
        medium=scaled(PRIOR_MASSES.medium, party.medium_mass_ug),
        fine=scaled(PRIOR_MASSES.fine, party.fine_mass_ug),
    )
