//! Writes the JavaScript glue and its types beside a wasm module: `bindgen IN.wasm OUT_DIR`.

use std::process::ExitCode;

use wasm_bindgen_cli_support::Bindgen;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [input, out_dir] = arguments.as_slice() else {
        eprintln!("usage: bindgen IN.wasm OUT_DIR");
        return ExitCode::from(2);
    };
    match glue(input, out_dir) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("bindgen: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn glue(input: &str, out_dir: &str) -> Result<(), Box<dyn std::error::Error>> {
    let mut bindgen = Bindgen::new();
    bindgen.input_path(input).web(true)?.typescript(true).remove_producers_section(true);
    Ok(bindgen.generate(out_dir)?)
}
