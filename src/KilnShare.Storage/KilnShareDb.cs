using System.Reflection;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Costs;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Materials;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage.Bookings;
using KilnShare.Storage.CoFiring;
using KilnShare.Storage.Common;
using KilnShare.Storage.Costs;
using KilnShare.Storage.Energy;
using KilnShare.Storage.Firings;
using KilnShare.Storage.Kilns;
using KilnShare.Storage.Materials;
using KilnShare.Storage.Outcomes;
using KilnShare.Storage.Pieces;
using KilnShare.Storage.Studios;
using Microsoft.EntityFrameworkCore;
using Npgsql;

namespace KilnShare.Storage;

/// <summary>The studio's rows. Every table begins with <c>studio_id</c> and is walled by row-level security.</summary>
public sealed class KilnShareDb(DbContextOptions<KilnShareDb> options) : DbContext(options)
{
    /// <summary>The studio whose rows may be seen; null before a token has said which.</summary>
    public Id<Studio>? Studio { get; set; }

    /// <summary>The studio that every question is put for; nobody's where none is known.</summary>
    private Id<Studio> Here => Studio ?? default;

    /// <summary>What was asked ahead for this request; null where nothing was.</summary>
    internal RowAhead? Ahead { get; set; }

    /// <summary>The question whose words are to be learnt from the next command.</summary>
    internal RowAsking? Asking { get; set; }

    /// <summary>Puts away an answer that nobody asked for.</summary>
    internal async ValueTask PutAway()
    {
        if (Ahead is not { } ahead) return;
        Ahead = null;
        await ahead.Reader.DisposeAsync();
    }

    /// <summary>Points the options at PostgreSQL.</summary>
    public static void Configure(DbContextOptionsBuilder options, NpgsqlDataSource source) => options
        .UseNpgsql(source, n => n.UseNodaTime().SetPostgresVersion(15, 0))
        .UseSnakeCaseNamingConvention()
        .EnableThreadSafetyChecks(false); // a context serves one request, which does one thing after another

    /// <summary>A pool of connections to a database.</summary>
    public static NpgsqlDataSource Connect(string connectionString)
    {
        var builder = new NpgsqlDataSourceBuilder(connectionString) { Name = "kilnshare" };
        builder.UseNodaTime();
        return builder.Build();
    }

    /// <inheritdoc/>
    protected override void ConfigureConventions(ModelConfigurationBuilder configurationBuilder)
    {
        Identify<Studio>(configurationBuilder);
        Identify<Member>(configurationBuilder);
        Identify<AccessToken>(configurationBuilder);
        Identify<Kiln>(configurationBuilder);
        Identify<StudioClay>(configurationBuilder);
        Identify<StudioGlaze>(configurationBuilder);
        Identify<Piece>(configurationBuilder);
        Identify<Firing>(configurationBuilder);
        Identify<FiringCorrection>(configurationBuilder);
        Identify<CustodyEvent>(configurationBuilder);
        Identify<Booking>(configurationBuilder);
        Identify<StudioSchedule>(configurationBuilder);
        Identify<WitnessEntry>(configurationBuilder);
        Identify<StudioTariff>(configurationBuilder);
        Identify<MeterEntry>(configurationBuilder);
        Identify<UpkeepEntry>(configurationBuilder);
        Identify<Payment>(configurationBuilder);
        Identify<FiringIncident>(configurationBuilder);
        Identify<Outcome>(configurationBuilder);
        configurationBuilder.Properties<Enum>().HaveConversion<string>().HaveMaxLength(24);
        configurationBuilder.Properties<Cone>().HaveConversion<ConeConverter>().HaveMaxLength(4);
    }

    /// <inheritdoc/>
    protected override void OnModelCreating(ModelBuilder modelBuilder)
    {
        modelBuilder.HasPostgresExtension("btree_gist");
        StudioTables.Map(modelBuilder);
        KilnTables.Map(modelBuilder);
        MaterialTables.Map(modelBuilder);
        PieceTables.Map(modelBuilder);
        FiringTables.Map(modelBuilder);
        LightingTable.Map(modelBuilder);
        CoFiringTables.Map(modelBuilder);
        BookingTables.Map(modelBuilder);
        EnergyTables.Map(modelBuilder);
        CostTables.Map(modelBuilder);
        OutcomeTables.Map(modelBuilder);
        ServiceTables.Map(modelBuilder);
        // Every question names its studio, whatever the handler says; row-level security is the second wall.
        var wallOff = typeof(KilnShareDb).GetMethod(nameof(WallOff), BindingFlags.Instance | BindingFlags.NonPublic)!;
        foreach (var type in modelBuilder.Model.GetEntityTypes().Where(t => t.FindProperty("StudioId") is not null).ToList())
            wallOff.MakeGenericMethod(type.ClrType).Invoke(this, [modelBuilder]);
    }

    private void WallOff<T>(ModelBuilder model)
        where T : class => model.Entity<T>().HasQueryFilter(row => EF.Property<Id<Studio>>(row, "StudioId") == Here);

    private static void Identify<T>(ModelConfigurationBuilder configuration) => configuration.Properties<Id<T>>().HaveConversion<IdConverter<T>>();
}
