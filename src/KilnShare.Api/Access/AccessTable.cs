using KilnShare.Core.Studios;

namespace KilnShare.Api.Access;

/// <summary>Who may call what. One row an operation, by its name; an operation without a row does not start.</summary>
public static class AccessTable
{
    /// <summary>Open to all.</summary>
    public static readonly AccessRow Anyone = new(null, false);

    /// <summary>Needs the installation's own token.</summary>
    public static readonly AccessRow Installation = new(null, true);

    private static readonly AccessRow Viewer = new(Role.Viewer, false);
    private static readonly AccessRow Potter = new(Role.Potter, false);
    private static readonly AccessRow Technician = new(Role.Technician, false);
    private static readonly AccessRow Owner = new(Role.Owner, false);

    /// <summary>The rows.</summary>
    public static IReadOnlyDictionary<string, AccessRow> Rows { get; } = new Dictionary<string, AccessRow>(StringComparer.Ordinal)
    {
        ["healthLive"] = Anyone,
        ["healthReady"] = Anyone,
        ["createStudio"] = Installation,
        ["whoAmI"] = Viewer,
        ["readStudio"] = Viewer,
        ["createMember"] = Owner,
        ["listMembers"] = Viewer,
        ["readMember"] = Viewer,
        ["createToken"] = Owner,
        ["createKiln"] = Technician,
        ["listKilns"] = Viewer,
        ["readKiln"] = Viewer,
        ["createClay"] = Technician,
        ["listClays"] = Viewer,
        ["readClay"] = Viewer,
        ["createGlaze"] = Technician,
        ["listGlazes"] = Viewer,
        ["readGlaze"] = Viewer,
        ["createPiece"] = Potter,
        ["listPieces"] = Viewer,
        ["readPiece"] = Viewer,
        ["createFiring"] = Technician,
        ["listFirings"] = Viewer,
        ["readFiring"] = Viewer,
        ["moveFiring"] = Technician,
        ["createBooking"] = Potter,
        ["listBookings"] = Viewer,
        ["readBooking"] = Viewer,
        ["withdrawBooking"] = Potter,
        ["approveBooking"] = Technician,
        ["readLoadPlan"] = Viewer,
        ["drawLoadPlan"] = Viewer,
        ["printLoadPlan"] = Viewer,
        ["readFiringCalendar"] = Viewer,
        ["writeLoad"] = Technician,
        ["readLoad"] = Viewer,
        ["createMeterReading"] = Technician,
        ["listMeterReadings"] = Viewer,
        ["readFiringCostSplit"] = Viewer,
        ["settleFiring"] = Technician,
        ["readSettlement"] = Viewer,
        ["listAccounts"] = Technician,
        ["createOutcome"] = Potter,
        ["listOutcomes"] = Viewer,
        ["readEvidence"] = Viewer,
        ["listCones"] = Viewer,
        ["calculateLoadPlan"] = Viewer,
        ["drawCalculatedLoadPlan"] = Viewer,
        ["checkCoFiring"] = Viewer,
        ["calculateCostSplit"] = Viewer,
    };
}

/// <summary>Who may call an operation: a least role, the installation's token, or anyone.</summary>
/// <param name="Least">The least role; null where no member is needed.</param>
/// <param name="NeedsInstallation">True where the installation's token is needed.</param>
public sealed record AccessRow(Role? Least, bool NeedsInstallation);
