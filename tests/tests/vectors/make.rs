//! Makes the vectors, the same each time. What each has to be answered is written beside its making, not taken from the verifier.

mod der;
mod files;
mod firm;
mod folder;
mod logs;
mod readers;
mod records;
mod report;
mod scene;
mod signature;
mod signatures;
mod statements;
mod times;

pub use folder::Folder;

/// All files of the folder by their paths, the manifest among them as a value.
pub fn make() -> Folder {
    let mut folder = Folder::default();
    let scene = scene::Scene::new(&mut folder);
    readers::add(&mut folder, &scene);
    times::add(&mut folder, &scene);
    records::add(&mut folder, &scene);
    signatures::add(&mut folder, &scene);
    files::add(&mut folder, &scene);
    statements::add(&mut folder, &scene);
    logs::add(&mut folder, &scene);
    let about = "What each file has to be answered; the form is in docs/format.md, section 14. Everything is invented, and \
                 every key follows from one byte.";
    about.clone_into(&mut folder.manifest.about);
    folder
}
