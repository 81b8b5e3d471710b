using KilnShare.Api.Access;
using KilnShare.Api.Bookings;
using KilnShare.Api.CoFiring;
using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Api.Costs;
using KilnShare.Api.Energy;
using KilnShare.Api.Firings;
using KilnShare.Api.Kilns;
using KilnShare.Api.Loading;
using KilnShare.Api.Materials;
using KilnShare.Api.Outcomes;
using KilnShare.Api.Pieces;
using KilnShare.Api.Planning;
using KilnShare.Api.Studios;

namespace KilnShare.Api.Hosting;

/// <summary>Every route of the service.</summary>
public static class Routes
{
    /// <summary>Maps them, and refuses to start with one that has no row in the access table.</summary>
    /// <exception cref="InvalidOperationException">A route has no row, or a row no route.</exception>
    public static void MapKilnShare(this WebApplication app)
    {
        app.MapHealth();
        var v1 = app.MapGroup("/v1").AddEndpointFilter(WholeAnswers.Filter).AddEndpointFilterFactory(Validation.Filter);
        SearchGate.MarkSearches(v1);
        v1.MapStudios();
        v1.MapInstallation();
        v1.MapCones();
        v1.MapReference();
        v1.MapHeatWork();
        v1.MapScheduleCalculations();
        v1.MapStartingSchedules();
        v1.MapFiringEnergy();
        v1.MapCheapestStart();
        v1.MapCoFiring();
        v1.MapLoading();
        v1.MapCostSplit();
        var studio = v1.MapGroup("/studios/{studioId}");
        studio.MapStudioEdits();
        studio.MapKilns();
        studio.MapMaterials();
        studio.MapHouseRules();
        studio.MapPieces();
        studio.MapSchedules();
        studio.MapCustody();
        studio.MapKilnService();
        studio.MapFirings();
        studio.MapFiringCorrections();
        studio.MapLighting();
        studio.MapLogs();
        studio.MapProgress();
        studio.MapWitnessCones();
        studio.MapCurves();
        studio.MapBookings();
        studio.MapReserves();
        studio.MapLoads();
        studio.MapLoadPapers();
        studio.MapFiringCalendar();
        studio.MapMeters();
        studio.MapTariffs();
        studio.MapEnergyModel();
        studio.MapFiringTakes();
        studio.MapUpkeep();
        studio.MapSettlements();
        studio.MapAccounts();
        studio.MapStatements();
        studio.MapPayments();
        studio.MapCostRules();
        studio.MapSurcharges();
        studio.MapQuotes();
        studio.MapIncidents();
        studio.MapBills();
        studio.MapYears();
        studio.MapClosings();
        studio.MapProposals();
        studio.MapOutcomes();
        studio.MapEvidence();
        studio.MapPrecedents();
        studio.MapEvidenceChanges();
        studio.MapNextTests();
        CheckAccessTable(app);
    }

    private static void CheckAccessTable(IEndpointRouteBuilder routes)
    {
        var names = routes.DataSources.SelectMany(d => d.Endpoints)
            .Select(e => e.Metadata.GetMetadata<IEndpointNameMetadata>()?.EndpointName
                ?? throw new InvalidOperationException($"The route {e.DisplayName} has no name."))
            .ToHashSet(StringComparer.Ordinal);
        names.SymmetricExceptWith(AccessTable.Rows.Keys);
        if (names.Count > 0) throw new InvalidOperationException($"Routes and rows of the access table differ: {string.Join(", ", names)}.");
    }
}
