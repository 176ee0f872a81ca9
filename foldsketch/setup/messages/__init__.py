"""Everything that the set-up floor reports.

Reasons why something cannot be done are findings too, so that their lengths can be shown in inches.
"""

from foldsketch.setup.messages.inputs import *  # noqa: F403
from foldsketch.setup.messages.plan_notes import *  # noqa: F403
from foldsketch.setup.messages.reasons import *  # noqa: F403
