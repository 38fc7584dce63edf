"""Voices of our own: partials with their own envelopes, breath and knocks. They stand for no instrument in particular, so
that what is learnt does not hang on the samples of one sound font."""

import numpy


class Voice:
    """One way of sounding: struck or plucked (partials that die away, the higher the sooner) or held (blown, bowed, sung:
    a slow attack, breath, vibrato, scoops, formants)."""

    def __init__(self, draw):
        self.held = draw.random() < 0.55
        self.kind = "held" if self.held else "struck"
        self.lowest = int(draw.integers(28, 64))
        self.highest = min(96, self.lowest + int(draw.integers(18, 32)))
        self.slope = draw.uniform(0.4, 2.2)
        self.odd = draw.choice([0, 0, 0, 1]) * draw.uniform(0.05, 0.4)
        self.uneven = draw.uniform(0, 0.8)
        self.formants = [
            (draw.uniform(250, 3200), draw.uniform(80, 400), draw.uniform(0.5, 6)) for _ in range(draw.integers(0, 4))
        ]
        self.stretch = 10 ** draw.uniform(-5, -3.3) if not self.held else 0
        self.attack = 10 ** draw.uniform(-3, -2) if not self.held else 10 ** draw.uniform(-2.2, -0.95)
        self.decay = 10 ** draw.uniform(-0.8, 0.5)
        self.release = draw.uniform(0.02, 0.25)
        self.breath = draw.choice([0, 1]) * 10 ** draw.uniform(-3, -1.2)
        self.knock = 0 if self.held else draw.choice([0, 1]) * 10 ** draw.uniform(-2, -0.3)
        self.vibrato = draw.choice([0, 0, 1]) * draw.uniform(0.05, 0.4)
        self.scoops = draw.choice([0, 0, 1])
        self.shake = draw.uniform(0, 0.05)

    def note(self, draw, midi, length, velocity, rate):
        """Samples of one note, which begins after 3 ms; it ends some time after `length` seconds."""
        tail = self.release * 3
        count = int((length + tail) * rate)
        time = numpy.arange(count) / rate
        knots = numpy.arange(0, length + tail + 0.05, 0.05)
        shaken = draw.normal(0, self.shake, int((length + tail) / 0.05) + 2)
        cents = numpy.interp(time, knots, shaken[: len(knots)])
        if self.held and self.vibrato:
            turning = numpy.sin(2 * numpy.pi * draw.uniform(4.5, 6.5) * time)
            cents = cents + self.vibrato * numpy.clip((time - 0.15) / 0.2, 0, 1) * turning
        if self.held and self.scoops and draw.random() < 0.5:
            cents = cents - draw.uniform(0.3, 1.2) * numpy.clip(1 - time / draw.uniform(0.04, 0.1), 0, 1)
        frequency = 440 * 2 ** ((midi - 69 + cents) / 12)
        phase = 2 * numpy.pi * numpy.cumsum(frequency) / rate
        loud = velocity / 127
        sound = numpy.zeros(count, numpy.float64)
        top = 440 * 2 ** ((midi - 69) / 12)
        for partial in range(1, min(40, int(11_000 / top)) + 1):
            level = partial ** -(self.slope + (1 - loud) * 0.6) * numpy.exp(draw.normal(0, self.uneven))
            if partial % 2 == 0 and self.odd:
                level *= self.odd
            for centre, width, gain in self.formants:
                level *= 1 + gain * numpy.exp(-(((partial * top - centre) / width) ** 2))
            stretched = partial * numpy.sqrt(1 + self.stretch * partial**2)
            wave = numpy.sin(stretched * phase + draw.uniform(0, 2 * numpy.pi))
            if not self.held:
                wave *= numpy.exp(-time / (self.decay * (60 / midi) / (1 + 0.25 * partial)))
            sound += level * wave
        attack = self.attack * draw.uniform(0.7, 1.4)
        envelope = 1 - numpy.exp(-((time / attack) ** 1.5) * 2.3)
        if self.held:
            envelope *= 1 - draw.uniform(0, 0.4) * numpy.clip(time / max(length, 0.05), 0, 1)
        envelope *= numpy.where(time < length, 1, numpy.exp(-(time - length) / (self.release / 2.5)))
        sound *= envelope
        sound /= abs(sound).max() + 1e-9
        if self.breath:
            sound += self.breath * draw.normal(0, 1, count) * envelope
        if self.knock:
            sound += self.knock * draw.normal(0, 0.4, count) * numpy.exp(-time / 0.004)
        sound = numpy.concatenate([numpy.zeros(int(0.003 * rate)), sound]) * loud * 0.5
        return sound.astype(numpy.float32)
