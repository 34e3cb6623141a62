#include "command.h"

const rush_command *const commands[] = {&command_ask,     &command_rank,     &command_check,
                                        &command_changes, &command_trial,    &command_about,
                                        &command_apart,   &command_couplets, &command_sheet,
                                        &command_drill,   &command_sow,      NULL};
