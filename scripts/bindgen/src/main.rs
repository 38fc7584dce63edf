//! Cuts a wasm module at the doors of its rooms (see `src/rooms.rs`) and writes the JavaScript glue and its types:
//! `bindgen IN.wasm OUT_DIR`.
//!
//! `OUT_DIR` gets the module, its glue, a file for each piece of a room in `rooms/`, and `doors.js`, which says which
//! pieces a room is made of.

mod shorten;

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::ExitCode;

use wasm_bindgen_cli_support::Bindgen;
use wasm_split_cli_support::{Options, transform};

/// What the glue imports the doors from.
const DOORS: &str = "./doors.js";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [input, out_dir] = arguments.as_slice() else {
        eprintln!("usage: bindgen IN.wasm OUT_DIR");
        return ExitCode::from(2);
    };
    match write(Path::new(input), Path::new(out_dir)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("bindgen: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn write(input: &Path, out_dir: &Path) -> Result<(), Box<dyn std::error::Error>> {
    let pieces = out_dir.join("rooms");
    if pieces.exists() {
        fs::remove_dir_all(&pieces)?;
    }
    fs::create_dir_all(&pieces)?;
    let bytes = fs::read(input)?;
    let first = pieces.join("riffloom.wasm");
    let mut options = Options::new(&bytes);
    options.output_dir = &pieces;
    options.main_out_path = &first;
    options.link_name = DOORS;
    let rooms = transform(options)?.prefetch_map;
    // Its own loader goes by promises; ours is in www/rooms.js.
    fs::remove_file(pieces.join(DOORS))?;
    glue(&first, out_dir)?;
    fs::remove_file(&first)?;
    let (script, types) = doors(&rooms.into_iter().collect());
    fs::write(out_dir.join("doors.js"), script)?;
    fs::write(out_dir.join("doors.d.ts"), types)?;
    Ok(())
}

fn glue(input: &Path, out_dir: &Path) -> Result<(), Box<dyn std::error::Error>> {
    let mut bindgen = Bindgen::new();
    // The pieces share the table of functions and what else the linker exports.
    bindgen.keep_lld_exports(true);
    // A core that broke is started anew without loading the page again.
    bindgen.reset_state_function(true);
    bindgen.input_path(input).web(true)?.typescript(true).remove_producers_section(true);
    bindgen.out_name("riffloom");
    bindgen.generate(out_dir)?;
    // It imports the doors once for each room; once is enough.
    let path = out_dir.join("riffloom.js");
    let text = fs::read_to_string(&path)?;
    let (mut seen, mut kept) = (0, String::new());
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        // Each call would ask whether its object is of the core that is here now, and whether that is to be started
        // anew; the page sees to both in one place (www/guard.js).
        if line.trim_start().starts_with("if (this.__wbg_inst !==") {
            let _ = lines.nth(1);
            continue;
        }
        if line.trim() == "__wbg_call_guard();" {
            continue;
        }
        let is_door = line.contains(DOORS);
        seen += usize::from(is_door);
        // The import and its place in the list of imports come first, then their like.
        let is_first_import = line.starts_with("import") && seen == 1;
        let is_first_place = !line.starts_with("import") && !kept.contains(&format!("\"{DOORS}\":"));
        if !is_door || is_first_import || is_first_place {
            kept += line;
            kept.push('\n');
        }
    }
    let module = out_dir.join("riffloom_bg.wasm");
    let (kept, renamed) = shorten::shorten(&kept, &fs::read(&module)?);
    fs::write(path, kept)?;
    Ok(fs::write(module, renamed)?)
}

/// The script that the glue imports the doors from, and its types. A door asks whether its room has been loaded, and is
/// told so at once: nobody goes through the door of a room that is not open.
fn doors(rooms: &BTreeMap<String, Vec<String>>) -> (String, String) {
    let mut script = String::from(
        "import { initSync } from \"./riffloom.js\";\n\
         const here = (callback, data) => initSync().__indirect_function_table.get(callback)(data, 1);\n",
    );
    let mut types = String::from("export const pieces: Record<string, string[]>;\n");
    for room in rooms.keys() {
        let _ = writeln!(script, "export const __wasm_split_load_{room} = here;");
        let _ = writeln!(
            types,
            "export const __wasm_split_load_{room}: (callback: number, data: number) => void;"
        );
    }
    let _ = writeln!(script, "/** The pieces that each room is made of, without their ending. */");
    let _ = writeln!(script, "export const pieces = {rooms:?};");
    (script, types)
}
