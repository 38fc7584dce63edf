//! Suggestions are looked for in a worker: the page's core says what is asked for, the worker's answers.

use wasm_bindgen::prelude::*;

use crate::desk::Refusal;
use crate::desk::chorus::{Answer, Question};
use crate::rooms::door;
use crate::view::model::Changed;
use crate::view::screen;
use crate::web::{App, to_js};

/// Answers a question that [`App::question`] gave, for [`App::take_answer`]; nothing but what stands in `question` is
/// needed. The first text is what to say where nothing can be suggested, and then the only one.
#[wasm_bindgen(js_name = suggestAnswer)]
pub fn suggest_answer(question: Vec<String>) -> Result<Vec<String>, JsError> {
    answered(&question).unwrap_or_else(|| Err(JsError::new("the room that makes suggestions is not open")))
}

door!(Chorus, chorus: fn answered(question: &[String]) -> Result<Vec<String>, JsError> {
    Ok(match Question::read(question)?.answer() {
        Ok(answer) => std::iter::once(String::new()).chain(answer.texts()).collect(),
        Err(error) => screen::say(&Err(Refusal::Suggest(error))).into_iter().collect(),
    })
});

door!(Chorus, chorus: fn asked(app: &App) -> Vec<String> {
    app.desk.looking().map(|looking| looking.question.texts()).unwrap_or_default()
});

door!(Chorus, chorus: fn taken(app: &mut App, number: u32, answer: &[String]) -> Result<JsValue, JsError> {
    app.take(number, answer)
});

#[wasm_bindgen]
impl App {
    /// What suggestions are being looked for, as texts; empty where none are.
    pub fn question(&self) -> Vec<String> {
        asked(self).unwrap_or_default()
    }

    /// Takes the answer to question `number`, as [`suggest_answer`] gave it; an empty one where it came to nothing. Gives
    /// a `Changed`.
    #[wasm_bindgen(js_name = takeAnswer)]
    pub fn take_answer(&mut self, number: u32, answer: Vec<String>) -> Result<JsValue, JsError> {
        taken(self, number, &answer).unwrap_or(Ok(JsValue::UNDEFINED))
    }
}

impl App {
    fn take(&mut self, number: u32, answer: &[String]) -> Result<JsValue, JsError> {
        let (said, texts) =
            answer.split_first().map_or(("", &[][..]), |(said, texts)| (said.as_str(), texts));
        let waits = match texts {
            [] => self.desk.look_no_more(number),
            texts => self.desk.take_answer(number, Answer::read(texts)?),
        };
        let message = (waits && !said.is_empty()).then(|| said.to_owned());
        if waits && let Some(player) = &mut self.player {
            player.replan(&self.desk);
        }
        let changed = Changed { message, sounds: waits, ..self.screen.renew_at_once(&self.desk) };
        to_js(&changed)
    }
}
