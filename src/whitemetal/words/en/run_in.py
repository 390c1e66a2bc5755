"""What the run-in says."""

MESSAGES: dict[str, str] = {
    "points": "at least {count} readings to fit a rise to",
    "trip": "{temperature} is at or above the trip of {limit}: stop the machine.",
    "alarm": "{temperature} is at or above the alarm of {limit}: stop and look.",
    "jump": "The {where} temperature rose by {rise} K within {seconds} s: a wipe shows like this. Stop and look.",
    "jump_source": "our own threshold; common practice that a wipe is a step within seconds",
    "fast": "The {where} temperature rose by {rise} K within {seconds} s, faster than 2 K a minute after the first five minutes. Stop and look.",
    "fast_source": "common practice",
    "rise": "The rise is {rise} K at {minutes} minutes; {allowed} K is usual for a self-lubricated sleeve bearing.",
    "rise_source": "a motor maker's instruction manual: 11 to 14 K in the first ten minutes, about 22 K at thirty",
    "above_earlier": "At ten minutes it has risen {over} K more than at an earlier run-in of this bearing. Stop and look.",
    "practice": "common practice",
    "unlike": "Also read: {others}. These are not compared with limits for the {where}.",
    "ahead": "On its way to settle at about {settles} (95 %: {low} to {high}); with a probability of {percent} that is above the alarm of {alarm}. There is time to stop.",
    "forecast_source": "average over all pairs of lags that bearings have, by how well each explains the readings",
    "too_early": "at least {points} readings over the first {minutes:.0f} minutes",
    "not_converged": "The rise could not be fitted to these readings.",
}
