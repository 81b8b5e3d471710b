using KilnShare.Core.Firings;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Outcomes;

internal static class OutcomeTables
{
    public static void Map(ModelBuilder model) => model.Entity<Outcome>(t =>
    {
        t.ToTable("outcome");
        t.HasKey(o => new { o.StudioId, o.Id });
        t.Property(o => o.Defects).AsJson<IReadOnlyList<Defect>>();
        t.Property(o => o.Note).HasMaxLength(StudioLimits.MaxNote);
        t.HasIndex(o => new { o.StudioId, o.FiringId, o.PieceId, o.Copy }).IsUnique();
        t.HasOne<Firing>().WithMany().HasForeignKey(o => new { o.StudioId, o.FiringId }).OnDelete(DeleteBehavior.Restrict);
        t.HasOne<PieceCopy>().WithMany().HasForeignKey(o => new { o.StudioId, o.PieceId, o.Copy }).OnDelete(DeleteBehavior.Restrict);
        t.HasOne<Member>().WithMany().HasForeignKey(o => new { o.StudioId, o.MemberId }).OnDelete(DeleteBehavior.Restrict);
    });
}
