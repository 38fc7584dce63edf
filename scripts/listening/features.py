"""What the network sees of the sound, in frames of 8 ms at 24 kHz, and what it should say. `src/listen/features.rs` computes
the same; `tests/data/listening/reference.tsv` holds the two together.

Three views of each frame: a long spectrum (85 ms) on a grid of pitches, the normalised square difference (P. McLeod and
G. Wyvill, "A smarter way to find pitch", ICMC 2005) in a long and a short window, and two short spectra (10.7 ms) that
see how the sound begins. For every semitone the network gets twelve numbers: the spectrum at the pitch, an octave below it
and at its partials, and the square differences at the pitch and its octaves.
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")
import numpy
from scipy import fft
from scipy.signal import firwin, lfilter, upfirdn

RATE, HOP = 24_000, 192
FRAME_SECONDS = HOP / RATE
LOWEST, PITCHES = 26, 73
PER_SEMITONE = 3
BINS = PITCHES * PER_SEMITONE
SPECTRUM_LOWEST, SPECTRUM_BINS = 24, 300
BANDS = 24
LONG, SHORT = 2048, 256
LONG_DIFFERENCE, SHORT_DIFFERENCE = 1024, 384
LONG_LAGS, SHORT_LAGS = 340, 192
CHANNELS = 12
# Where a pitch's channels lie above it in the long spectrum, in thirds of a semitone: an octave below, the pitch itself,
# its partials 2 to 6 and 8.
PARTIALS = [-36, 0, 36, 57, 72, 84, 93, 108]
INPUTS = PITCHES * CHANNELS + 2 * (BANDS + 1)
# Halves the rate: 41 taps of a Kaiser window with beta 5.
HALVING = firwin(41, 0.5, window=("kaiser", 5.0)).astype(numpy.float32)


def frequency(midi):
    return 440 * 2 ** ((numpy.asarray(midi) - 69) / 12)


def pitch_filters():
    bins = numpy.arange(LONG // 2 + 1) * RATE / LONG
    filters = numpy.zeros((len(bins), SPECTRUM_BINS), numpy.float32)
    for index, centre in enumerate(frequency(SPECTRUM_LOWEST - 1 / 3 + numpy.arange(SPECTRUM_BINS) / 3)):
        width = max(RATE / LONG, centre * (2 ** (1 / 36) - 1))
        filters[:, index] = numpy.maximum(0, 1 - abs(bins - centre) / width)
    return filters / numpy.maximum(filters.sum(0), 1e-6)


def band_filters():
    bins = numpy.arange(SHORT // 2 + 1) * RATE / SHORT
    edges = numpy.geomspace(100, 11_500, BANDS + 2)
    filters = numpy.zeros((len(bins), BANDS), numpy.float32)
    for index in range(BANDS):
        low, centre, high = edges[index : index + 3]
        low, high = min(low, centre - RATE / SHORT), max(high, centre + RATE / SHORT)
        rising, falling = (bins - low) / (centre - low), (high - bins) / (high - centre)
        filters[:, index] = numpy.maximum(0, numpy.minimum(rising, falling))
    return filters / numpy.maximum(filters.sum(0), 1e-6)


def lag_reader(lags):
    """Reads a function of lag (at 12 kHz) at the lag of each pitch, by cubic interpolation over four lags."""
    reader = numpy.zeros((lags, BINS), numpy.float32)
    for index, hertz in enumerate(frequency(LOWEST - 1 / 3 + numpy.arange(BINS) / 3)):
        lag = RATE / 2 / hertz
        whole = int(lag)
        part = lag - whole
        if whole + 2 >= lags:
            continue
        reader[whole - 1, index] = -0.5 * part + part**2 - 0.5 * part**3
        reader[whole, index] = 1 - 2.5 * part**2 + 1.5 * part**3
        reader[whole + 1, index] = 0.5 * part + 2 * part**2 - 1.5 * part**3
        reader[whole + 2, index] = -0.5 * part**2 + 0.5 * part**3
    return reader


def hann(length):
    window = numpy.hanning(length + 1)[:-1].astype(numpy.float32)
    return window / (window.sum() / 2)


PITCH_FILTERS, BAND_FILTERS = pitch_filters(), band_filters()
LONG_READER, SHORT_READER = lag_reader(LONG_LAGS), lag_reader(SHORT_LAGS)
LONG_WINDOW, SHORT_WINDOW = hann(LONG), hann(SHORT)


def halved(samples):
    """Half the rate, in time with what it is made of."""
    return upfirdn(HALVING, samples.astype(numpy.float32), 1, 2)[10:]


def framed(samples, length, hop, count, shift=0):
    """`count` frames, the middle of each `hop` after that of the one before; the first is at `shift`."""
    padded = numpy.pad(samples.astype(numpy.float32), (length, length + 2 * hop))
    starts = padded[length - length // 2 + shift :]
    return numpy.lib.stride_tricks.as_strided(starts, (count, length), (starts.strides[0] * hop, starts.strides[0]))


def square_difference(frames, reader, size):
    length, lags = frames.shape[1], len(reader)
    spectrum = fft.rfft(frames, size, axis=1)
    correlation = fft.irfft(spectrum.real**2 + spectrum.imag**2, size, axis=1)[:, :lags]
    energy = numpy.cumsum(frames * frames, axis=1, dtype=numpy.float64)
    lag = numpy.arange(1, lags)
    both = numpy.empty_like(correlation)
    both[:, 0] = 2 * energy[:, -1]
    both[:, 1:] = energy[:, length - 1 - lag] + energy[:, -1:] - energy[:, lag - 1]
    return (2 * correlation / (both + 1e-7 * length)).astype(numpy.float32) @ reader


def stacked(spectrum, long_difference, short_difference, short):
    """The network's inputs: twelve channels for each of 73 semitones, and the short spectra."""
    count = len(spectrum)
    spectrum = numpy.pad(spectrum, ((0, 0), (42, 60)), constant_values=-1.06)
    first = (LOWEST - SPECTRUM_LOWEST) * PER_SEMITONE + 42
    above = numpy.pad(long_difference, ((0, 0), (0, 36)))[:, 36:]
    below = numpy.pad(long_difference, ((0, 0), (36, 0)))[:, :-36]
    channels = [spectrum[:, first + shift : first + shift + BINS] for shift in PARTIALS]
    channels += [long_difference, above, below, short_difference]
    inputs = numpy.empty((count, INPUTS), numpy.float32)
    highest = [channel.reshape(count, PITCHES, PER_SEMITONE).max(2) for channel in channels]
    inputs[:, : PITCHES * CHANNELS] = numpy.stack(highest, -1).reshape(count, -1)
    inputs[:, PITCHES * CHANNELS :] = short
    return inputs


def compute(samples):
    """The network's inputs for samples at 24 kHz, a row a frame; the middle of row `k` is sample `192 k`."""
    count = len(samples) // HOP + 1
    samples = samples.astype(numpy.float32)
    magnitudes = abs(fft.rfft(framed(samples, LONG, HOP, count) * LONG_WINDOW, axis=1)).astype(numpy.float32)
    spectrum = numpy.log10(magnitudes @ PITCH_FILTERS + 3e-5) * 0.5 + 1.2
    slow = lfilter([1, -1], [1, -0.97], halved(samples)).astype(numpy.float32)
    long_frames = numpy.ascontiguousarray(framed(slow, LONG_DIFFERENCE, HOP // 2, count))
    short_frames = numpy.ascontiguousarray(framed(slow, SHORT_DIFFERENCE, HOP // 2, count))
    short = numpy.empty((count, 2 * (BANDS + 1)), numpy.float32)
    for half, shift in enumerate((-48, 48)):
        frames = framed(samples, SHORT, HOP, count, shift)
        bands = abs(fft.rfft(frames * SHORT_WINDOW, axis=1)).astype(numpy.float32) @ BAND_FILTERS
        at = half * (BANDS + 1)
        short[:, at : at + BANDS] = numpy.log10(bands + 1e-4) * 0.5 + 1
        short[:, at + BANDS] = numpy.log10(abs(frames[:, 64:192]).max(1) + 1e-3) * 0.5 + 1
    long_difference = square_difference(long_frames, LONG_READER, 2048)
    return stacked(spectrum, long_difference, square_difference(short_frames, SHORT_READER, 768), short)


def answers(notes, count):
    """What the network should say of each frame: how near an onset is (1 at it, 0 from 20 ms away), whether a note sounds,
    and which pitch, counted from the lowest; -1 where none does."""
    time = numpy.arange(count) * FRAME_SECONDS
    onset, sounding = numpy.zeros(count, numpy.float32), numpy.zeros(count, numpy.float32)
    pitch = numpy.full(count, -1, numpy.int16)
    for note in notes:
        onset = numpy.maximum(onset, 1 - abs(time - note["onset"]) / 0.02)
        inside = (time >= note["onset"]) & (time < note["offset"])
        sounding[inside] = 1
        pitch[inside] = note["midi"] - LOWEST
    return onset, sounding, pitch
