//! The command `hoopwright`.

mod cli;

fn main() -> std::process::ExitCode {
    cli::main()
}
