//! Files at the edge: the whole notebook as one, and what is in one that was opened.

use wasm_bindgen::prelude::*;

use crate::desk::merged::Merged;
use crate::desk::stored::Stored;
use crate::files::{Kind, incoming, qr, whole};
use crate::perform::song::Times;
use crate::practice::review::Day;
use crate::riff::{RiffId, read_id};
use crate::rooms::door;
use crate::view::model::{Changed, FileView, QrView};
use crate::view::{file, screen};
use crate::web::track::Heard;
use crate::web::{App, records_of, to_js};

#[wasm_bindgen]
impl App {
    /// The whole notebook as the text of a file; `others` is what storage holds (an array of `RecordView`), of which
    /// what cannot be read here goes along as it is. Empty where the room for files is not open.
    #[wasm_bindgen(js_name = writeNotebook)]
    pub fn write_notebook(&self, others: JsValue) -> Result<String, JsError> {
        written(self, others).unwrap_or_else(|| Ok(String::new()))
    }

    /// These riffs as the text of a file that opens as a notebook's does.
    #[wasm_bindgen(js_name = writeRiffs)]
    pub fn write_riffs(&self, ids: Vec<String>) -> String {
        some_written(self, &ids).unwrap_or_default()
    }

    /// What that file is called.
    #[wasm_bindgen(js_name = riffsName)]
    pub fn riffs_name(&self, ids: Vec<String>) -> String {
        some_named(self, &ids).unwrap_or_default()
    }

    /// How the notebook is kept safe (a `KeepingView`): `saved` is the day on which it was last saved to a file, counted
    /// as in [`App::set_today`], `lasting` whether the browser has promised to keep it.
    pub fn keeping(&self, saved: Option<i32>, lasting: bool) -> Result<JsValue, JsError> {
        kept_safe(self, saved, lasting).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// What is in a file (a `FileView`), before anything of it is added.
    #[wasm_bindgen(js_name = lookIntoFile)]
    pub fn look_into_file(&self, bytes: &[u8]) -> Result<JsValue, JsError> {
        looked_into(self, bytes).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// Adds what is in a file: of a notebook all of it, of a file of music the melody `part` (index among those of the
    /// `FileView`) as a riff under the unused `id`, called `name` where the file has none. Gives a `Changed`, as
    /// [`App::apply`] does.
    #[wasm_bindgen(js_name = takeFile)]
    pub fn take_file(&mut self, bytes: &[u8], part: usize, id: &str, name: &str) -> Result<JsValue, JsError> {
        taken(self, bytes, part, id, name).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// What is heard as a file of music whose name ends in `ending` (`mid`, `musicxml`, `abc`), once through; in a MIDI file
    /// `straight` has even beats, as it is written. Empty where there is nothing to hear, or the room for files is not
    /// open.
    #[wasm_bindgen(js_name = musicFile)]
    pub fn music_file(&self, heard: Heard, ending: &str, straight: bool) -> Vec<u8> {
        music_bytes(self, heard, ending, straight).unwrap_or_default()
    }

    /// What that file is called.
    #[wasm_bindgen(js_name = musicName)]
    pub fn music_name(&self, heard: Heard, ending: &str) -> String {
        music_title(self, heard, ending).unwrap_or_default()
    }

    /// What of the words over the lines is not in that file, in a sentence; mostly empty.
    pub fn unsung(&self, heard: Heard, ending: &str) -> String {
        left_out(self, heard, ending).unwrap_or_default()
    }

    /// A text as a QR code (a `QrView`).
    pub fn qr(text: &str) -> Result<JsValue, JsError> {
        drawn(text).unwrap_or(Ok(JsValue::UNDEFINED))
    }
}

door!(Files, files: fn music_bytes(app: &App, heard: Heard, ending: &str, straight: bool) -> Vec<u8> {
    let times = if straight { Times::Written } else { Times::Played };
    let kind = Kind::of_ending(ending);
    kind.and_then(|kind| file::exported(&app.desk, heard.parts(), kind, times)).unwrap_or_default()
});

door!(Files, files: fn music_title(app: &App, heard: Heard, ending: &str) -> String {
    let kind = Kind::of_ending(ending);
    kind.map(|kind| file::exported_name(&app.desk, heard.parts(), kind)).unwrap_or_default()
});

door!(Files, files: fn left_out(app: &App, heard: Heard, ending: &str) -> String {
    Kind::of_ending(ending).map(|kind| file::unsung(&app.desk, heard.parts().0, kind)).unwrap_or_default()
});

door!(Files, files: fn drawn(text: &str) -> Result<JsValue, JsError> {
    let picture = qr::picture(text).map(|picture| QrView { size: picture.size, path: picture.path });
    to_js(&picture.unwrap_or_default())
});

door!(Files, files: fn written(app: &App, others: JsValue) -> Result<String, JsError> {
    let (others, _) = records_of(others)?;
    let revision = |id: &str| app.revisions.get(id).copied().unwrap_or(1);
    Ok(app.desk.write_notebook(|id| app.record_text(id, revision(id)), others))
});

door!(Files, files: fn some_written(app: &App, ids: &[String]) -> String {
    let ids: Vec<RiffId> = ids.iter().filter_map(|id| read_id(id)).collect();
    let revision = |id: &str| app.revisions.get(id).copied().unwrap_or(1);
    app.desk.write_riffs(&ids, |id| app.record_text(id, revision(id)))
});

door!(Files, files: fn some_named(app: &App, ids: &[String]) -> String {
    let ids: Vec<RiffId> = ids.iter().filter_map(|id| read_id(id)).collect();
    file::name_of_riffs(&app.desk, &ids)
});

door!(Files, files: fn kept_safe(app: &App, saved: Option<i32>, lasting: bool) -> Result<JsValue, JsError> {
    to_js(&file::keeping(&app.desk, saved.map(|day| Day(day.into())), lasting))
});

door!(Files, files: fn looked_into(app: &App, bytes: &[u8]) -> Result<JsValue, JsError> {
    to_js(&app.file_view(bytes))
});

door!(Files, files: fn taken(app: &mut App, bytes: &[u8], part: usize, id: &str, name: &str) -> Result<JsValue, JsError> {
    to_js(&if incoming::kind(bytes).is_some() { app.add_melody(bytes, part, id, name) } else { app.add_file(bytes) })
});

impl App {
    fn file_view(&self, bytes: &[u8]) -> FileView {
        if let Some(read) = incoming::read(bytes) {
            return match read {
                Ok(music) => file::music(&music),
                Err(error) => file::unusable(&error.to_string()),
            };
        }
        match notebook_in(bytes) {
            // On a desk that is put away again.
            Ok(stored) => file::notebook(&self.desk.clone().merge(stored, &self.known())),
            Err(error) => file::unusable(&error.to_string()),
        }
    }

    fn add_melody(&mut self, bytes: &[u8], part: usize, id: &str, name: &str) -> Changed {
        let before = self.desk.before();
        let music = incoming::read(bytes).and_then(Result::ok);
        let part = music.and_then(|music| music.parts.into_iter().nth(part));
        let outcome = part.map(|part| self.desk.add_melody(part.melody, id, name));
        let mut changed = self.screen.renew_at_once(&self.desk);
        changed.message = outcome.as_ref().and_then(screen::say);
        self.follow(&before, &mut changed);
        changed
    }

    fn add_file(&mut self, bytes: &[u8]) -> Changed {
        let before = self.desk.before();
        let merged = match notebook_in(bytes) {
            Ok(stored) => {
                let known = self.revisions.clone();
                self.desk.merge(stored, &|id| known.get(id).copied().unwrap_or_default())
            }
            Err(_) => Merged::default(),
        };
        for of in &merged.practised {
            self.past_grew(*of);
        }
        self.revisions.extend(merged.revisions.iter().cloned());
        let mut changed = self.screen.renew_at_once(&self.desk);
        changed.message = Some(file::merged(&merged));
        changed.offer = file::offer_after_merging(&merged);
        self.follow(&before, &mut changed);
        changed
    }

    /// How often the record with an id was written.
    fn known(&self) -> impl Fn(&str) -> u32 {
        |id| self.revisions.get(id).copied().unwrap_or_default()
    }
}

/// The notebook in a file.
fn notebook_in(bytes: &[u8]) -> Result<Stored, whole::Error> {
    let text = std::str::from_utf8(bytes).map_err(|_| whole::Error::Foreign)?;
    Ok(Stored::read(&whole::read(text)?))
}
