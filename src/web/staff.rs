//! Music on a staff, and what stands on a sheet.

use wasm_bindgen::prelude::*;

use crate::riff::read_id;
use crate::rooms::door;
use crate::view::lesson_sheet;
use crate::view::staff::{self, What};
use crate::view::verse;
use crate::web::{App, to_js};

#[wasm_bindgen]
impl App {
    /// The riff, or the chorus, on a staff (a `StaffView`), written for the part of this name: one of its `parts`; with
    /// tablature or fingerings for the instrument with the name `under`, where there are such.
    pub fn staff(&self, chorus: bool, part: &str, under: &str) -> Result<JsValue, JsError> {
        on_staff(self, chorus, part, under).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// What stands beside it on a sheet (a `SheetView`).
    pub fn sheet(&self, chorus: bool, part: &str) -> Result<JsValue, JsError> {
        on_sheet(self, chorus, part).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// A lesson that is kept, on paper (a `LessonSheetView`): its models written for a part, with what stands below them.
    #[wasm_bindgen(js_name = lessonSheet)]
    pub fn lesson_sheet(&self, id: &str, part: &str, under: &str) -> Result<JsValue, JsError> {
        on_lesson_sheet(self, id, part, under).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// A riff of the notebook on paper (a `LessonRiffView`), as the models of a lesson are.
    #[wasm_bindgen(js_name = riffOnPaper)]
    pub fn riff_on_paper(&self, id: &str, part: &str, under: &str) -> Result<JsValue, JsError> {
        on_paper(self, id, part, under).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// The lines of the chorus with the words over them (`VerseLineView`s).
    pub fn verse(&self) -> Result<JsValue, JsError> {
        in_lines(self).unwrap_or(Ok(JsValue::UNDEFINED))
    }
}

fn what(chorus: bool) -> What {
    if chorus { What::Chorus } else { What::Riff }
}

door!(Staff, staff: fn on_staff(app: &App, chorus: bool, part: &str, under: &str) -> Result<JsValue, JsError> {
    to_js(&staff::view(&app.desk, what(chorus), part, under))
});

door!(Staff, staff: fn on_sheet(app: &App, chorus: bool, part: &str) -> Result<JsValue, JsError> {
    to_js(&staff::sheet(&app.desk, what(chorus), part))
});

door!(Staff, staff: fn on_lesson_sheet(app: &App, id: &str, part: &str, under: &str) -> Result<JsValue, JsError> {
    to_js(&lesson_sheet::view(&app.desk, id, part, under))
});

door!(Staff, staff: fn on_paper(app: &App, id: &str, part: &str, under: &str) -> Result<JsValue, JsError> {
    to_js(&read_id(id).and_then(|id| lesson_sheet::of_riff(&app.desk, id, part, under)))
});

door!(Staff, staff: fn in_lines(app: &App) -> Result<JsValue, JsError> {
    to_js(&verse::lines(&app.desk))
});
