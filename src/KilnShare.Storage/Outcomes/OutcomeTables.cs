using KilnShare.Core.Firings;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Outcomes;

internal static class OutcomeTables
{
    public static void Map(ModelBuilder model)
    {
        MapOutcomes(model);
        // Rows are written by a trigger on outcome (Sql/outcome-changes.sql) and by nobody else.
        model.Entity<EarlierOutcome>(t =>
        {
            t.ToTable("earlier_outcome");
            t.HasKey(e => new { e.StudioId, e.OutcomeId, e.Version });
            t.Property(e => e.Defects).AsJson<IReadOnlyList<Defect>>();
            t.Property(e => e.Details).AsJson<IReadOnlyList<DefectDetail>?>();
            t.Property(e => e.Look).AsJson<OutcomeLook?>();
            t.Property(e => e.Note).HasMaxLength(StudioLimits.MaxNote);
            t.HasOne<Outcome>().WithMany().HasForeignKey(e => new { e.StudioId, e.OutcomeId }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Member>().WithMany().HasForeignKey(e => new { e.StudioId, e.MemberId }).OnDelete(DeleteBehavior.Restrict);
        });
    }

    private static void MapOutcomes(ModelBuilder model) => model.Entity<Outcome>(t =>
    {
        t.ToTable("outcome");
        t.HasKey(o => new { o.StudioId, o.Id });
        t.Property(o => o.Version).IsConcurrencyToken().HasDefaultValue(1L);
        t.Property(o => o.Defects).AsJson<IReadOnlyList<Defect>>();
        t.Property(o => o.Details).AsJson<IReadOnlyList<DefectDetail>?>();
        t.Property(o => o.Look).AsJson<OutcomeLook?>();
        t.Property(o => o.Note).HasMaxLength(StudioLimits.MaxNote);
        t.HasIndex(o => new { o.StudioId, o.FiringId, o.PieceId, o.Copy }).IsUnique();
        t.HasOne<Firing>().WithMany().HasForeignKey(o => new { o.StudioId, o.FiringId }).OnDelete(DeleteBehavior.Restrict);
        t.HasOne<PieceCopy>().WithMany().HasForeignKey(o => new { o.StudioId, o.PieceId, o.Copy }).OnDelete(DeleteBehavior.Restrict);
        t.HasOne<Member>().WithMany().HasForeignKey(o => new { o.StudioId, o.MemberId }).OnDelete(DeleteBehavior.Restrict);
    });
}
