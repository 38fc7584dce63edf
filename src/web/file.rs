//! Files at the edge: the whole notebook as one, and what is in one that was opened.

use wasm_bindgen::prelude::*;

use crate::desk::merged::Merged;
use crate::desk::stored::Stored;
use crate::files::whole;
use crate::practice::review::Day;
use crate::rooms::door;
use crate::view::file;
use crate::view::model::{Changed, FileView};
use crate::web::{App, records_of, to_js};

#[wasm_bindgen]
impl App {
    /// The whole notebook as the text of a file; `others` is what storage holds (an array of `RecordView`), of which
    /// what cannot be read here goes along as it is. Empty where the room for files is not open.
    #[wasm_bindgen(js_name = writeNotebook)]
    pub fn write_notebook(&self, others: JsValue) -> Result<String, JsError> {
        written(self, others).unwrap_or_else(|| Ok(String::new()))
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

    /// Adds what is in a file. Gives a `Changed`, as [`App::apply`] does.
    #[wasm_bindgen(js_name = takeFile)]
    pub fn take_file(&mut self, bytes: &[u8]) -> Result<JsValue, JsError> {
        taken(self, bytes).unwrap_or(Ok(JsValue::UNDEFINED))
    }
}

door!(Files, files: fn written(app: &App, others: JsValue) -> Result<String, JsError> {
    let (others, _) = records_of(others)?;
    let revision = |id: &str| app.revisions.get(id).copied().unwrap_or(1);
    Ok(app.desk.write_notebook(|id| app.record_text(id, revision(id)), others))
});

door!(Files, files: fn kept_safe(app: &App, saved: Option<i32>, lasting: bool) -> Result<JsValue, JsError> {
    to_js(&file::keeping(&app.desk, saved.map(|day| Day(day.into())), lasting))
});

door!(Files, files: fn looked_into(app: &App, bytes: &[u8]) -> Result<JsValue, JsError> {
    to_js(&app.file_view(bytes))
});

door!(Files, files: fn taken(app: &mut App, bytes: &[u8]) -> Result<JsValue, JsError> {
    to_js(&app.add_file(bytes))
});

impl App {
    fn file_view(&self, bytes: &[u8]) -> FileView {
        match notebook_in(bytes) {
            // On a desk that is put away again.
            Ok(stored) => file::notebook(&self.desk.clone().merge(stored, &self.known())),
            Err(error) => file::unusable(&error.to_string()),
        }
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
