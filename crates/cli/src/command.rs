//! Each command: one call of an operation, and its answer in words.

mod backup;
mod firm;
mod letter;
mod log;
mod office;
mod photo;
mod record;
mod recording;
mod seal;
mod serve;
mod timestamp;
mod verify;
mod witness;

use api::{Fault, NativeWorld};
use clap::CommandFactory as _;

use crate::{
    answer::Answer,
    arguments::{
        Arguments, Command, FirmCommand, LogCommand, OfficeCommand, SchemaOf, TimestampCommand, WitnessCommand,
    },
};

/// Where everything happens.
const WORLD: NativeWorld = NativeWorld;

/// Does what was asked for.
pub fn run(arguments: Arguments) -> Result<Answer, Fault> {
    match arguments.command {
        Command::Firm(FirmCommand::Found(found)) => firm::found(&found),
        Command::Firm(FirmCommand::RenewList(renew)) => firm::renew_list(&renew),
        Command::Certify(certify) => firm::certify(&certify),
        Command::Revoke(revoke) => firm::revoke(&revoke),
        Command::Reckon(reckon) => record::reckon(&reckon),
        Command::Ask(ask) => letter::ask(&ask),
        Command::Reply(reply) => letter::reply(&reply),
        Command::Seal(seal) => seal::seal(&seal),
        Command::State(state) => seal::state(&state),
        Command::Photo(photo) => photo::photo(&photo),
        Command::Recording(recording) => recording::recording(&recording),
        Command::Verify(verify) => verify::verify(&verify),
        Command::Show(show) => record::show(&show),
        Command::Withdraw(withdraw) => seal::withdraw(&withdraw),
        Command::AttachReceipt(attach) => seal::attach_receipt(&attach),
        Command::Timestamp(TimestampCommand::Fetch(fetch)) => timestamp::fetch(&fetch),
        Command::Timestamp(TimestampCommand::Request(request)) => timestamp::request(&request),
        Command::Timestamp(TimestampCommand::Attach(attach)) => timestamp::attach(&attach),
        Command::Log(LogCommand::Found(found)) => log::found(&found),
        Command::Log(LogCommand::Enter(enter)) => log::enter(&enter),
        Command::Log(LogCommand::AddWitness(add)) => log::add_witness(&add),
        Command::Log(LogCommand::Audit(audit)) => log::audit_log(&audit),
        Command::Office(OfficeCommand::Code(code)) => office::code(&code),
        Command::Office(OfficeCommand::Devices(list)) => office::devices(&list),
        Command::Office(OfficeCommand::ShutOut(device)) => office::shut_out(&device),
        Command::Office(OfficeCommand::Show(show)) => office::show(&show),
        Command::Office(OfficeCommand::Asked(list)) => office::asked(&list),
        Command::Office(OfficeCommand::Certify(device)) => office::certify(&device),
        Command::Office(OfficeCommand::Give(given)) => office::give(&given),
        Command::Office(OfficeCommand::Backup(backup)) => backup::back_up(&backup),
        Command::Office(OfficeCommand::Restore(restore)) => backup::restore(&restore),
        Command::Office(OfficeCommand::Move(moved)) => office::move_office(&moved),
        Command::Serve(serve) => serve::serve(&serve),
        Command::Witness(WitnessCommand::Found(found)) => witness::found(&found),
        Command::Witness(WitnessCommand::Watch(watch)) => witness::watch(&watch),
        Command::Witness(WitnessCommand::Serve(serve)) => witness::serve(&serve),
        Command::Schema { of } => Ok(print_schema(of)),
        Command::Completions { shell } => Ok(print_completions(shell)),
    }
}

fn print_schema(of: SchemaOf) -> Answer {
    let schema = match of {
        SchemaOf::Inspection => api::inspection_schema(),
        SchemaOf::Record => api::record_schema(),
        SchemaOf::Letter => api::letter_schema(),
        SchemaOf::Reply => api::reply_schema(),
        SchemaOf::Statement => api::statement_schema(),
    };
    Answer::bytes(format!("{schema:#}\n").into_bytes())
}

fn print_completions(shell: clap_complete::Shell) -> Answer {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "rimside", &mut script);
    Answer::bytes(script)
}
