//! The player: does what the planner says, with one source and one gain a note.

use std::rc::Rc;

use wasm_bindgen::{JsCast, JsValue};
use web_sys::{
    AudioBuffer, AudioBufferSourceNode, AudioContext, AudioScheduledSourceNode, BaseAudioContext, GainNode,
};

use crate::desk::Desk;
use crate::desk::score::What;
use crate::form::Changes;
use crate::perform::planner::{Actions, Planned, Planner};
use crate::perform::sounding::Sounding;
use crate::perform::takes::Takes;
use crate::perform::{Attack, Part, Score};
use crate::sound::voice::{Lineup, Reach, Sample, Voice};
use crate::sound::{limit, mix, room};
use crate::units::{
    AudioTime, Cents, Decibels, MidiNote, QuartersPerMinute, SampleRate, Seconds, Ticks, Velocity,
};
use crate::view::along;
use crate::view::model::AlongView;
use crate::view::screen::Screen;
use crate::web::samples::Samples;

/// The level of everything: moderate at the start, with room for a full band below full scale.
pub const MASTER: Decibels = Decibels(-6.0);
/// Time constant of a change of programme gain: too slow to be heard as a step, over before the count-in is.
const PROGRAMME_GLIDE: Seconds = Seconds(0.25);
/// A sound whose buffer is not there this long before it begins is begun with another, or rendered on the spot; sooner
/// where the page is held up for longer than that.
const AT_LAST: Seconds = Seconds(0.25);
/// However long the page was held up, what is to sound later than this can still wait for its buffer.
const LONGEST_WAIT: Seconds = Seconds(1.5);
/// An edit is heard after this at the latest, and the next beat, however slow the computer is.
const LONGEST_CUT: Seconds = Seconds(0.8);
/// How fast a level follows its slider: the time constant of the approach, short of a click and of a wait.
const GLIDE: Seconds = Seconds(0.02);

/// The first id that no planner gives.
pub const OWN_IDS: u64 = 1 << 40;

/// Plays through one audio context. Dropping it silences and disconnects everything that it made.
pub struct Player {
    context: BaseAudioContext,
    /// Whether people listen while it plays, or else a file is made.
    is_live: bool,
    master: GainNode,
    /// What brings the music to its loudness; see [`Player::set_programme`].
    programme: GainNode,
    /// Behind the guard: how loud the person wants it.
    volume: GainNode,
    /// Where the sounds of each part go in; its gain is how loud the person wants the part, in the room too.
    places: Vec<(Part, GainNode)>,
    samples: Samples,
    /// The takes of what is played beside a score, keys above all.
    takes: Takes,
    lineup: Lineup,
    /// The line-ups before, the last one first, each once: what they left stands in for what is not rendered yet.
    before: Vec<Lineup>,
    /// How long it took at the slowest, and half as long again, to do what an edit asked for.
    slowest: Seconds,
    /// When it was asked for the last time what sounds next, and the longest that it has waited to be asked again.
    last_tick: Option<AudioTime>,
    held_up: Seconds,
    /// What is planned anew when the desk changes; `None` where practice asked for it.
    running: Option<(Option<What>, Planner)>,
    /// What was paused, and in which bar.
    paused: Option<(What, usize)>,
    /// Whether what is planned is followed and not heard.
    is_silent: bool,
    /// Handed out by the planner, not yet started: the buffer is still being rendered.
    waiting: Vec<Planned>,
    /// The solo of what was handed out, for the page's lights.
    sounding: Sounding,
    started: Vec<Started>,
    /// The keys that are held, by their MIDI numbers.
    keys: Vec<(u8, Started)>,
    /// For the next key: making nodes is the dearest part of starting a sound, so it is done beforehand.
    spare: Option<Pair>,
}

/// A source and its gain, on their way into a place.
struct Pair {
    source: AudioBufferSourceNode,
    gain: GainNode,
}

/// A source that was started.
struct Started {
    id: u64,
    source: AudioBufferSourceNode,
    gain: GainNode,
    begins: AudioTime,
    ends: AudioTime,
    level: f32,
}

impl Player {
    /// A player for `context`, with its places in the stereo picture and the levels that the desk asks for.
    pub fn new(context: BaseAudioContext, desk: &Desk) -> Result<Player, JsValue> {
        let master = context.create_gain()?;
        // The guard stands behind the master: what it lets through stays under the ceiling.
        master.gain().set_value(MASTER.gain() as f32 / limit::GUARD_SPAN);
        let guard = context.create_wave_shaper()?;
        guard.set_curve_opt_f32_slice(Some(limit::guard().as_mut_slice()));
        master.connect_with_audio_node(&guard)?;
        let volume = context.create_gain()?;
        guard.connect_with_audio_node(&volume)?;
        volume.connect_with_audio_node(&context.destination())?;
        let programme = context.create_gain()?;
        programme.connect_with_audio_node(&master)?;
        let samples = Samples::new(context.clone())?;
        let room = context.create_convolver()?;
        // The core's levels are the room's: the browser is not to make up its own.
        room.set_normalize(false);
        room.set_buffer(Some(&samples.stereo(&room::impulse_response(samples.rate()))?));
        room.connect_with_audio_node(&programme)?;
        let mut places = Vec::new();
        for part in Part::ALL {
            let strip = mix::strip(part);
            let place = context.create_gain()?;
            let pan = context.create_stereo_panner()?;
            pan.pan().set_value(strip.pan as f32);
            place.connect_with_audio_node(&pan)?;
            pan.connect_with_audio_node(&programme)?;
            let send = context.create_gain()?;
            send.gain().set_value(strip.room.gain() as f32);
            place.connect_with_audio_node(&send)?;
            send.connect_with_audio_node(&room)?;
            places.push((part, place));
        }
        let is_live = context.has_type::<AudioContext>();
        let mut player = Player {
            context,
            is_live,
            master,
            programme,
            volume,
            places,
            samples,
            takes: Takes::default(),
            lineup: Lineup::default(),
            before: Vec::new(),
            slowest: Seconds(0.0),
            last_tick: None,
            held_up: Seconds(0.0),
            running: None,
            paused: None,
            is_silent: false,
            waiting: Vec::new(),
            sounding: Sounding::default(),
            started: Vec::new(),
            keys: Vec::new(),
            spare: None,
        };
        player.spare = player.pair(Part::Solo).ok();
        player.take_levels(desk, Seconds(0.0));
        Ok(player)
    }

    /// Begins to play.
    pub fn play(&mut self, desk: &Desk, what: What) {
        let planner = Planner::start(self.now(), desk.score(what), desk.tune().tempo);
        self.begin_with(desk, what, planner);
    }

    /// Begins what practice asks for, and tells when its first bar line sounds.
    pub fn practise(&mut self, score: Score, tempo: QuartersPerMinute) -> AudioTime {
        self.stop();
        let planner = Planner::start(self.now(), score, tempo);
        let begin = planner.tempo().time_of(0.0);
        self.running = Some((None, planner));
        self.tick();
        begin
    }

    /// Sounds these beside what plays; their ids must be from [`OWN_IDS`] on.
    pub fn play_beside(&mut self, mut sounds: Vec<Planned>) {
        for sound in &mut sounds {
            sound.take = self.takes.deal(0, sound.part, sound.midi);
        }
        self.takes.settle(1);
        self.obey(Actions { start: sounds, ..Actions::default() });
    }

    /// Plays the form from this bar on (index from 0): at once where it plays already, else after the count-in.
    pub fn play_from(&mut self, desk: &Desk, what: What, bar: usize) {
        let now = self.now();
        match &mut self.running {
            Some((Some(What::Form | What::Band), planner)) => {
                planner.cut_no_sooner(self.slowest);
                let actions = planner.jump(now, bar);
                self.obey(actions);
            }
            _ => {
                let planner = Planner::start_at(now, desk.score(what), desk.tune().tempo, bar);
                self.begin_with(desk, what, planner);
            }
        }
    }

    /// Goes through the form from this bar on (index from 0) after the count-in, with nothing of it to be heard: keys sound.
    pub fn follow_from(&mut self, desk: &Desk, what: What, bar: usize) {
        self.stop();
        self.is_silent = true;
        self.running =
            Some((Some(what), Planner::start_at(self.now(), desk.score(what), desk.tune().tempo, bar)));
        self.tick();
    }

    /// The place of the form that sounds at `now`, counted on through all times; `None` where no form is played.
    pub fn on_form(&self, now: AudioTime) -> Option<Ticks> {
        match &self.running {
            Some((Some(What::Form | What::Band), planner)) => Some(planner.on_form(now)),
            _ => None,
        }
    }

    /// Stops, to go on later in the same bar. Only what plays over the form can wait.
    pub fn pause(&mut self) {
        let now = self.now();
        let here = self.running.as_ref().and_then(|(what, planner)| Some(((*what)?, planner.bar(now))));
        self.stop();
        self.paused = here.filter(|(what, _)| matches!(what, What::Form | What::Band | What::Chorus));
    }

    /// Goes on where it was paused, from the beginning of that bar, after the count-in.
    pub fn resume(&mut self, desk: &Desk) {
        if let Some((what, bar)) = self.paused {
            self.play_from(desk, what, bar);
        }
    }

    /// The bar in which it was paused (index from 0).
    pub fn paused(&self) -> Option<usize> {
        self.paused.map(|(_, bar)| bar)
    }

    fn begin_with(&mut self, desk: &Desk, what: What, planner: Planner) {
        self.stop();
        self.listen_to(desk);
        self.running = Some((Some(what), planner));
        let now = self.now();
        self.tick();
        self.remember_how_long(now);
    }

    /// A slow computer needs longer than the planner allows to take notes back and start others: the next edit is heard
    /// a beat later there, instead of late.
    fn remember_how_long(&mut self, began: AudioTime) {
        let took = self.now() - began;
        self.slowest = Seconds((took.0 * 1.5).max(self.slowest.0).min(LONGEST_CUT.0));
    }

    /// Takes the voices and the levels that the desk asks for. Levels glide there: no note is planned anew.
    pub fn listen_to(&mut self, desk: &Desk) {
        self.take_levels(desk, GLIDE);
    }

    fn take_levels(&mut self, desk: &Desk, within: Seconds) {
        let band = &desk.tune().band;
        let lineup = lineup(desk);
        let sounds_as = |other: &Lineup| (other.solo, other.comp, other.click, other.tuning);
        if sounds_as(&self.lineup) != sounds_as(&lineup) {
            self.before.retain(|before| sounds_as(before) != sounds_as(&self.lineup));
            self.before.insert(0, self.lineup);
            self.before.truncate(Voice::MELODIC.len());
        }
        self.lineup = lineup;
        let glide = |node: &GainNode, level: i8| {
            let (gain, wanted) = (node.gain(), Decibels(level.into()).gain() as f32);
            let _ = gain.cancel_scheduled_values(self.context.current_time());
            let _ = gain.set_target_at_time(wanted, self.context.current_time(), within.0);
        };
        for (part, node) in &self.places {
            glide(node, band.levels.of(*part));
        }
        glide(&self.volume, band.master);
    }

    /// Plays on with what the desk holds now, from the next beat.
    pub fn replan(&mut self, desk: &Desk) {
        let now = self.now();
        let Some((what, planner)) = &mut self.running else { return };
        // Practice is begun anew, never planned anew.
        let Some(what) = what else { return };
        planner.cut_no_sooner(self.slowest);
        let actions = planner.replan(now, desk.score(*what), desk.tune().tempo);
        self.obey(actions);
        self.remember_how_long(now);
    }

    /// Hands out what sounds next, and lets go what has ended.
    pub fn tick(&mut self) {
        let now = self.now();
        if let (Some(last), Some(_)) = (self.last_tick.replace(now), &self.running) {
            self.held_up = Seconds((now - last).0.max(self.held_up.0).min(LONGEST_WAIT.0));
        }
        self.started.retain(|started| started.ends > now || !started.let_go());
        self.sounding.forget(now);
        if let Some((_, planner)) = &mut self.running {
            let actions = planner.advance(now);
            let finished = actions.finished;
            self.obey(actions);
            if finished {
                self.running = None;
            }
        }
        self.start_waiting();
    }

    /// Stops what plays: what has not begun never will, what sounds dies away at once.
    pub fn stop(&mut self) {
        self.running = None;
        self.paused = None;
        self.last_tick = None;
        self.is_silent = false;
        self.waiting.clear();
        self.sounding.clear();
        let now = self.now();
        for started in self.started.drain(..) {
            started.silence(now);
        }
    }

    /// Whether something plays.
    pub fn is_playing(&self) -> bool {
        self.running.is_some()
    }

    /// Sounds a key. The colour of a hard or soft stroke is heard once a worker has rendered it; to wait would be late.
    pub fn key_down(&mut self, midi: MidiNote, velocity: Velocity) {
        self.silence_key(midi.number());
        let part = Part::Solo;
        let take = self.takes.deal(0, Part::Solo, midi);
        self.takes.settle(1);
        let mut sample = Sample { take, ..self.lineup.key(midi, velocity) };
        if self.samples.find(sample).is_none() {
            self.samples.ask(sample);
            sample = self.lineup.key(midi, Velocity::PLAIN);
        }
        let Some(buffer) = self.samples.now(sample) else { return };
        let duration = Seconds(buffer.duration());
        let (when, attack) = (self.now(), Attack::Plain);
        let planned = Planned { id: 0, part, when, duration, midi, velocity, attack, take: 0, written: None };
        let Some(pair) = self.spare.take().or_else(|| self.pair(part).ok()) else { return };
        if let Ok(started) = self.begin(&planned, sample, &buffer, pair) {
            self.keys.push((midi.number(), started));
        }
    }

    /// Lets a key go.
    pub fn key_up(&mut self, midi: u8) {
        self.silence_key(midi);
        // Made ready for the next key while nobody waits for a sound.
        if self.spare.is_none() {
            self.spare = self.pair(Part::Solo).ok();
        }
    }

    fn silence_key(&mut self, midi: u8) {
        let now = self.now();
        if let Some(place) = self.keys.iter().position(|(key, _)| *key == midi) {
            self.keys.swap_remove(place).1.silence(now);
        }
    }

    /// Lets all keys go.
    pub fn all_keys_up(&mut self) {
        while let Some(midi) = self.keys.last().map(|(midi, _)| *midi) {
            self.key_up(midi);
        }
    }

    /// What the page follows from now to the horizon, by the audio clock alone.
    pub fn along(&self) -> AlongView {
        let planner = self.running.as_ref().map(|(_, planner)| planner);
        along::view(planner, &self.sounding, self.now())
    }

    /// The form that is played, through all its times.
    pub fn changes(&self) -> Option<Rc<Changes>> {
        self.running.as_ref().map(|(_, planner)| Rc::clone(&planner.score().changes))
    }

    /// What a worker should render: first what is waited for, then the keys on the screen and one stroke of each drum.
    pub fn wanted(&mut self, screen: &Screen) -> Vec<u32> {
        for midi in screen.playable() {
            if let Some(midi) = MidiNote::new(i32::from(midi)) {
                self.samples.ask(self.lineup.key(midi, Velocity::PLAIN));
            }
        }
        self.lineup.kit().for_each(|sample| self.samples.ask(sample));
        self.samples.take_wanted()
    }

    /// Takes a sample from a worker.
    pub fn give(&mut self, code: u32, rate: u32, frames: &[f32]) {
        self.samples.give(code, rate, frames);
        self.start_waiting();
    }

    /// Where all sound leaves, behind every level.
    pub fn output(&self) -> GainNode {
        self.volume.clone()
    }

    /// The gain that the core computed from a chorus of what is played (`sound::limit::Programme`). What sounds now
    /// goes over to it gently.
    pub fn set_programme(&self, gain: f64) {
        let _ = self.programme.gain().set_target_at_time(gain as f32, self.now().0, PROGRAMME_GLIDE.0);
    }

    /// The audio clock.
    pub fn now(&self) -> AudioTime {
        AudioTime(self.context.current_time())
    }

    fn obey(&mut self, actions: Actions) {
        self.sounding.take(&actions);
        if self.is_silent {
            return;
        }
        let is_cancelled = |id: u64| actions.cancel.contains(&id);
        self.waiting.retain(|planned| !is_cancelled(planned.id));
        self.started.retain(|started| !(is_cancelled(started.id) && started.let_go()));
        for planned in &actions.start {
            self.samples.ask(self.lineup.sample(planned));
        }
        self.waiting.extend(actions.start);
        self.start_waiting();
    }

    /// Starts what has its buffer, and what can wait no longer. What must be rendered on the spot comes last, so that it
    /// keeps nothing else waiting.
    fn start_waiting(&mut self) {
        let soon = self.now() + Seconds(self.held_up.0.max(AT_LAST.0));
        let mut missing = Vec::new();
        for planned in std::mem::take(&mut self.waiting) {
            let sample = self.lineup.sample(&planned);
            match self.samples.find(sample) {
                Some(buffer) => self.started.extend(self.begin_new(&planned, sample, &buffer).ok()),
                None => missing.push((planned, sample)),
            }
        }
        for (planned, sample) in missing {
            if planned.when >= soon {
                self.waiting.push(planned);
                continue;
            }
            // To render here may take longer than there is time: while people listen, a neighbour brought to pitch
            // stands in until the worker is done, or one of a voice that was chosen before this one.
            let before = self.before.iter().map(|lineup| lineup.sample(&planned));
            let mut standing_in = [sample].into_iter().chain(before).filter(|_| self.is_live);
            let found = standing_in.find_map(|wanted| self.samples.nearest(wanted));
            let found = found.or_else(|| Some((sample, self.samples.now(sample)?)));
            if let Some((sample, buffer)) = found {
                self.started.extend(self.begin_new(&planned, sample, &buffer).ok());
            }
        }
    }

    fn pair(&self, part: Part) -> Result<Pair, JsValue> {
        let source = self.context.create_buffer_source()?;
        let gain = self.context.create_gain()?;
        source.connect_with_audio_node(&gain)?;
        let place = self.places.iter().find(|(of, _)| *of == part);
        gain.connect_with_audio_node(place.map_or(self.master.as_ref(), |(_, place)| place.as_ref()))?;
        Ok(Pair { source, gain })
    }

    fn begin_new(&self, planned: &Planned, sample: Sample, buffer: &AudioBuffer) -> Result<Started, JsValue> {
        self.begin(planned, sample, buffer, self.pair(planned.part)?)
    }

    /// One source and one gain, begun on a whole frame and released as the mix does it.
    fn begin(
        &self,
        planned: &Planned,
        sample: Sample,
        buffer: &AudioBuffer,
        Pair { source, gain }: Pair,
    ) -> Result<Started, JsValue> {
        let rate = self.samples.rate();
        let begins = on_frame(planned.when, rate);
        let level = (mix::strip(planned.part).level.gain() * mix::velocity_gain(planned.velocity)) as f32;
        source.set_buffer(Some(buffer));
        let away = f64::from(planned.midi.number()) - f64::from(sample.midi.number());
        let speed = Cents(100.0 * away).ratio();
        if away != 0.0 {
            source.playback_rate().set_value(speed as f32);
        }
        let longest = Seconds(buffer.duration() / speed);
        gain.gain().set_value_at_time(level, 0.0)?;
        let mut ends = begins + longest;
        // A short buffer that stands in at a higher pitch may be over before the note is.
        let lasts = if sample.reach == Reach::Short { longest.0 - mix::RELEASE.0 } else { longest.0 };
        let held = Seconds(planned.duration.0.min(lasts));
        if sample.voice.is_held() && held.0 < longest.0 {
            let released = on_frame(begins + held, rate);
            gain.gain().set_value_at_time(level, released.0)?;
            ends = released + mix::RELEASE;
            gain.gain().linear_ramp_to_value_at_time(0.0, ends.0)?;
        }
        source.start_with_when(begins.0)?;
        AsRef::<AudioScheduledSourceNode>::as_ref(&source).stop_with_when(ends.0)?;
        Ok(Started { id: planned.id, source, gain, begins, ends, level })
    }
}

impl Drop for Player {
    fn drop(&mut self) {
        self.stop();
        self.all_keys_up();
        let _ = self.master.disconnect();
        let _ = self.volume.disconnect();
    }
}

impl Started {
    /// Stops and disconnects, for what has ended or has not begun. Always true, for use in conditions.
    fn let_go(&self) -> bool {
        let _ = self.scheduled().stop();
        let _ = self.source.disconnect();
        let _ = self.gain.disconnect();
        true
    }

    fn scheduled(&self) -> &AudioScheduledSourceNode {
        self.source.as_ref()
    }

    /// Lets the sound die within the mix's release; what has not begun is let go.
    fn silence(&self, now: AudioTime) {
        if self.begins >= now && self.begins > AudioTime(now.0 + 0.003) {
            self.let_go();
            return;
        }
        if now + mix::RELEASE >= self.ends {
            // It is dying already.
            return;
        }
        let gain = self.gain.gain();
        let end = now + mix::RELEASE;
        let _ = gain.cancel_scheduled_values(now.0);
        let _ = gain.set_value_at_time(self.level, now.0);
        let _ = gain.linear_ramp_to_value_at_time(0.0, end.0);
        let _ = self.scheduled().stop_with_when(end.0);
    }
}

/// The voices and levels that the desk asks for.
pub fn lineup(desk: &Desk) -> Lineup {
    let band = &desk.tune().band;
    Lineup { tuning: band.tuning, ..Lineup::named(band.solo, band.comp, band.click, band.levels) }
}

/// The time of the whole frame nearest to `time`.
fn on_frame(time: AudioTime, rate: SampleRate) -> AudioTime {
    AudioTime(rate.time_of(rate.frame_at(Seconds(time.0))).0)
}
