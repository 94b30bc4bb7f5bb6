"""When the frames were taken, and how far a creep that goes by the clock has come by then."""
import datetime
import numpy as np


def times(frames, start, seed, lunch_after=None, lunch_minutes=0):
    rng = np.random.default_rng(seed)
    t, out = datetime.datetime.fromisoformat(start), {}
    for f in frames:
        out[f] = t
        t += datetime.timedelta(minutes=lunch_minutes) if f == lunch_after else datetime.timedelta(seconds=int(rng.integers(118, 186)))
    return out


CLOSE_START, CLOSE_SEED = "2026-03-03T11:52:00", 3037


def share_of_creep(frame, frames, lunch_after, lunch_minutes, last):
    """0 at the first frame, 1 at `last`: a logarithmic creep against the clock, which goes on over lunch."""
    t = times(frames, CLOSE_START, CLOSE_SEED, lunch_after, lunch_minutes)
    minutes = {f: (t[f] - t[frames[0]]).total_seconds() / 60 for f in frames}
    law = lambda m: np.log1p(m / 14.0)      # noqa: E731
    return float(law(minutes[frame]) / law(minutes[last]))
