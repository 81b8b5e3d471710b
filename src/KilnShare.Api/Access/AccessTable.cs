using KilnShare.Core.Studios;

namespace KilnShare.Api.Access;

/// <summary>Who may call what. One row an operation, by its name; an operation without a row does not start.</summary>
public static class AccessTable
{
    /// <summary>Open to all.</summary>
    public static readonly AccessRow Anyone = new(null, false);

    /// <summary>Needs the installation's own token.</summary>
    public static readonly AccessRow Installation = new(null, true);

    /// <summary>The row of the operation that a request is routed to; null where it is routed to none.</summary>
    public static AccessRow? RowOf(HttpContext context) =>
        context.GetEndpoint()?.Metadata.GetMetadata<IEndpointNameMetadata>() is { } operation ? Rows[operation.EndpointName] : null;

    /// <summary>True for what may be done in a closed studio: reading, asking without storing anything, and taking tokens back.</summary>
    public static bool IsOpenInClosedStudio(HttpContext context) => HttpMethods.IsGet(context.Request.Method) || HttpMethods.IsHead(context.Request.Method)
        || context.Request.Path.StartsWithSegments("/v1/calculations", StringComparison.Ordinal)
        || context.GetEndpoint()?.Metadata.GetMetadata<IEndpointNameMetadata>()?.EndpointName is "quoteFiring" or "revokeToken";

    private static readonly AccessRow Viewer = new(Role.Viewer, false);
    private static readonly AccessRow Potter = new(Role.Potter, false);
    private static readonly AccessRow Technician = new(Role.Technician, false);
    private static readonly AccessRow Owner = new(Role.Owner, false);

    /// <summary>The rows.</summary>
    public static IReadOnlyDictionary<string, AccessRow> Rows { get; } = new Dictionary<string, AccessRow>(StringComparer.Ordinal)
    {
        ["healthLive"] = Anyone,
        ["healthReady"] = Anyone,
        ["createStudio"] = Installation with { TellsSecret = true },
        ["createOwnerToken"] = Installation with { TellsSecret = true },
        ["writeStudioClosure"] = Installation,
        ["rotateInstallationToken"] = Installation with { TellsSecret = true },
        ["whoAmI"] = Viewer,
        ["readStudio"] = Viewer,
        ["editStudio"] = Owner,
        ["createMember"] = Owner,
        ["createMembers"] = Owner,
        ["listMembers"] = Viewer,
        ["readMember"] = Viewer,
        ["editMember"] = Owner,
        ["archiveMember"] = Owner,
        ["createToken"] = Owner with { TellsSecret = true },
        ["listTokens"] = Owner,
        ["revokeToken"] = Owner,
        ["createKiln"] = Technician,
        ["listKilns"] = Viewer,
        ["readKiln"] = Viewer,
        ["editKiln"] = Technician,
        ["archiveKiln"] = Technician,
        ["readFurniture"] = Viewer,
        ["writeFurniture"] = Technician,
        ["createClay"] = Potter,
        ["createClays"] = Potter,
        ["listClays"] = Viewer,
        ["readClay"] = Viewer,
        ["editClay"] = Potter,
        ["archiveClay"] = Potter,
        ["adoptClay"] = Technician,
        ["createGlaze"] = Potter,
        ["createGlazes"] = Potter,
        ["listGlazes"] = Viewer,
        ["readGlaze"] = Viewer,
        ["editGlaze"] = Potter,
        ["archiveGlaze"] = Potter,
        ["adoptGlaze"] = Technician,
        ["createPiece"] = Potter,
        ["createPieces"] = Potter,
        ["listPieces"] = Viewer,
        ["readPiece"] = Viewer,
        ["editPiece"] = Potter,
        ["archivePiece"] = Potter,
        ["writeCustody"] = Potter,
        ["listCustody"] = Viewer,
        ["listUncollected"] = Viewer,
        ["writeKilnService"] = Technician,
        ["readLightingChecks"] = Viewer,
        ["writeLightingChecks"] = Technician,
        ["createFiring"] = Technician,
        ["listFirings"] = Viewer,
        ["readFiring"] = Viewer,
        ["editFiring"] = Technician,
        ["archiveFiring"] = Technician,
        ["moveFiring"] = Technician,
        ["correctFiring"] = Technician,
        ["listFiringCorrections"] = Viewer,
        ["createBooking"] = Potter,
        ["reserveRoom"] = Potter,
        ["findBookings"] = Viewer with { ShowsAmounts = true },
        ["listBookings"] = Viewer with { ShowsAmounts = true },
        ["readBooking"] = Viewer with { ShowsAmounts = true },
        ["withdrawBooking"] = Potter,
        ["changeBooking"] = Potter,
        ["approveBooking"] = Technician,
        ["readBookingFindings"] = Viewer,
        ["acceptBookingRules"] = Potter,
        ["readLoadPlan"] = Viewer,
        ["planLoadAnew"] = Technician,
        ["drawLoadPlan"] = Viewer,
        ["printLoadPlan"] = Viewer,
        ["readFiringCalendar"] = Viewer,
        ["writeLoad"] = Technician,
        ["readLoad"] = Viewer,
        ["proposeFirings"] = Viewer,
        ["createMeterReading"] = Technician,
        ["createMeterReadings"] = Technician,
        ["strikeMeterReading"] = Technician,
        ["listMeterReadings"] = Viewer,
        ["readFiringCostSplit"] = Viewer with { ShowsAmounts = true },
        ["settleFiring"] = Technician,
        ["readSettlement"] = Viewer with { ShowsAmounts = true },
        ["correctSettlement"] = Technician,
        ["listAccounts"] = Technician,
        ["readStatement"] = Viewer,
        ["readStatementCsv"] = Viewer,
        ["readStatementPdf"] = Viewer,
        ["createPayment"] = Owner,
        ["listPayments"] = Owner,
        ["readCostRules"] = Viewer,
        ["writeCostRules"] = Owner,
        ["writeSurcharges"] = Technician,
        ["readSurcharges"] = Viewer with { ShowsAmounts = true },
        ["quoteFiring"] = Potter with { ShowsAmounts = true },
        ["createIncident"] = Technician,
        ["listIncidents"] = Potter with { ShowsAmounts = true },
        ["readBill"] = Viewer with { ShowsAmounts = true },
        ["readBillCsv"] = Viewer with { ShowsAmounts = true },
        ["readBillPdf"] = Viewer with { ShowsAmounts = true },
        ["readYear"] = Technician,
        ["readYearCsv"] = Technician,
        ["readYearPdf"] = Technician,
        ["closeMonth"] = Owner,
        ["listClosings"] = Viewer with { ShowsAmounts = true },
        ["createOutcome"] = Potter,
        ["createOutcomes"] = Potter,
        ["createFiringOutcomes"] = Potter,
        ["listOutcomes"] = Viewer,
        ["readOutcome"] = Viewer,
        ["editOutcome"] = Potter,
        ["listEarlierOutcomes"] = Viewer,
        ["readEvidence"] = Viewer,
        ["readPrecedents"] = Viewer,
        ["readEvidenceChanges"] = Viewer,
        ["planNextTests"] = Potter,
        ["listCones"] = Viewer,
        ["listReferenceClays"] = Viewer,
        ["listReferenceGlazes"] = Viewer,
        ["listReferenceFurniture"] = Viewer,
        ["createReadings"] = Technician,
        ["createReadingsFromCsv"] = Technician,
        ["listReadings"] = Viewer,
        ["readFiringProgress"] = Viewer,
        ["readConeForecast"] = Viewer,
        ["readFiringReport"] = Viewer,
        ["readFiringCurve"] = Viewer,
        ["createWitnessCones"] = Technician,
        ["listWitnessCones"] = Viewer,
        ["readKilnLevels"] = Viewer,
        ["createTariff"] = Technician,
        ["listTariffs"] = Viewer,
        ["readTariff"] = Viewer,
        ["findCheapestStart"] = Viewer,
        ["readEnergyModel"] = Viewer,
        ["readFiringEnergy"] = Viewer,
        ["drawFiringEnergy"] = Viewer,
        ["readUnmeteredEnergy"] = Viewer,
        ["writeUnmeteredEnergy"] = Technician,
        ["readKilnUpkeep"] = Viewer,
        ["createUpkeepEntry"] = Technician,
        ["drawFiringEnergyForecast"] = Viewer,
        ["createSchedule"] = Technician,
        ["listSchedules"] = Viewer,
        ["readSchedule"] = Viewer,
        ["listStartingSchedules"] = Viewer,
        ["forecastSchedule"] = Viewer,
        ["findSchedulePeak"] = Viewer,
        ["convertSchedule"] = Viewer,
        ["fitSchedule"] = Viewer,
        ["calculateHeatWork"] = Viewer,
        ["forecastFiringEnergy"] = Viewer,
        ["calculateLoadPlan"] = Viewer,
        ["calculateLoadSeries"] = Viewer,
        ["drawCalculatedLoadPlan"] = Viewer,
        ["checkCoFiring"] = Viewer,
        ["groupFirings"] = Viewer,
        ["listCoFiringRules"] = Viewer,
        ["readHouseRules"] = Viewer,
        ["writeHouseRules"] = Owner,
        ["calculateCostSplit"] = Viewer,
    };
}

/// <summary>Who may call an operation: a least role, the installation's token, or anyone.</summary>
/// <param name="Least">The least role; null where no member is needed.</param>
/// <param name="NeedsInstallation">True where the installation's token is needed.</param>
public sealed record AccessRow(Role? Least, bool NeedsInstallation)
{
    /// <summary>True where the answer tells members' amounts: how many of them is the studio's setting (<see cref="Core.Costs.AmountsView"/>).</summary>
    public bool ShowsAmounts { get; init; }

    /// <summary>True where the answer holds a secret, which is then kept nowhere on the way and never packed with anything else.</summary>
    public bool TellsSecret { get; init; }
}
