//! The desktop's shell: the pages in a window, the core in the same process. It decides nothing.

mod carry;
mod desk;
mod save;

use desk::Desk;
use tauri::{Manager as _, WebviewWindowBuilder};

/// Opens the notebook and the window, and runs until the window is closed.
///
/// # Panics
/// Where the system gives no window.
#[cfg_attr(mobile, tauri::mobile_entry_point)]
pub fn run() {
    let app = tauri::Builder::default()
        .setup(|app| {
            let folder = app.path().app_local_data_dir()?;
            std::fs::create_dir_all(&folder)?;
            let desk = Desk::open(&folder).map_err(|fault| fault.message)?;
            app.manage(desk);
            let window = app.config().app.windows.first().cloned().ok_or("no window is configured")?;
            WebviewWindowBuilder::from_config(app, &window)?.build()?;
            Ok(())
        })
        .invoke_handler(tauri::generate_handler![
            desk::bring,
            desk::ask,
            desk::step,
            desk::stop,
            carry::carry,
            save::save
        ]);
    #[allow(
        clippy::expect_used,
        clippy::exit,
        reason = "without a window there is nobody to tell but the terminal; the context is generated"
    )]
    app.run(tauri::generate_context!()).expect("the window could not be opened");
}
